"""Emergencies in a message. Missing one is the worst mistake here: calm words hide only what they cover themselves."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.language.lexicon import Lexicon
from advisor.language.points import features, likeliest, total
from advisor.language.scan import Scan
from advisor.language.text import Token

__all__ = ["find_alarms"]

#: stands where a calm phrase was, so that no sign reads across or into it
_FEW = 6
_HIDDEN = Token("", "hidden", 0, 0)


def find_alarms(scan: Scan, lexicon: Lexicon) -> list[str]:
    """The kinds of emergency the message tells of, in the order of the table.

    A sign is believed unless hardly a word beside it speaks for danger; where no sign stands, many such words do.
    """
    table = lexicon.tables.danger_points
    found = features(scan.tokens, lexicon.members)
    points = table.base + total(found, table.points)
    raised = {hit.name for hit in lexicon.alarm_always.hits(scan.tokens)}
    few = len(scan.tokens) <= _FEW  # 'mayday': too few words to speak for anything
    if (few or points >= table.doubtful) and lexicon.alarm_signs.hits(scan.tokens):
        tokens = _without_calm(scan.tokens, lexicon)
        raised |= {hit.name for hit in lexicon.alarm_signs.hits(tokens) if not _denied(tokens, hit.start)}
    calmed = table.calmed if lexicon.alarm_calm.hits(scan.tokens) else 0
    if points - calmed >= table.enough and not raised:
        raised = {likeliest(found, table.kinds)}
    return [name for name in lexicon.tables.alarms if name in raised]


def _without_calm(tokens: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """Turns of speech hidden; 'what if' hides to the end of its sentence, 'years ago' the whole sentence."""
    out = list(tokens)
    while True:
        spans = []
        for hit in lexicon.alarm_calm.hits(out):
            start, end = hit.start, hit.end
            if hit.name in ("if", "past"):
                while end < len(out) and out[end].kind != "end":
                    end += 1
            if hit.name == "past":
                while start > 0 and out[start - 1].kind != "end":
                    start -= 1
            spans.append((start, end))
        if not spans:
            return out
        for start, end in spans:
            out[start:end] = [_HIDDEN] * (end - start)


def _denied(tokens: Sequence[Token], start: int) -> bool:
    """'no smoke', 'nobody hurt', 'never any dizziness': the word just before takes it back."""
    before = [token.text for token in tokens[max(0, start - 2) : start] if token.kind != "end"]
    return any(word in ("no", "nobody", "without", "never", "zero") for word in before)
