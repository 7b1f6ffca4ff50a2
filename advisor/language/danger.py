"""Emergencies in a message. Missing one is the worst mistake here: calm words hide only what they cover themselves."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.language.lexicon import Lexicon
from advisor.language.points import Marks, features, likeliest, marks, pieces, total
from advisor.language.scan import Scan
from advisor.language.tables import DangerPoints
from advisor.language.text import Token

__all__ = ["find_alarms"]

#: stands where a calm phrase was, so that no sign reads across or into it
_HIDDEN = Token("", "hidden", 0, 0)
_FEW = 6
_BESIDE = 8
_FEW_ASK = 2
_BARE = 2  # words: too few for points, so that a sign alone decides

#: where a turn of speech stands, and whether it puts the whole sentence into the past
Spans = Sequence[tuple[int, int, bool]]


def find_alarms(scan: Scan, lexicon: Lexicon) -> list[str]:
    """The kinds of emergency the message tells of, in the order of the table.

    A sign is believed unless hardly a word beside it speaks for danger; where no sign stands, many such words do.
    """
    tokens, table = scan.tokens, lexicon.tables.danger_points
    raised = {hit.name for hit in lexicon.alarm_always.hits(tokens)}
    found = marks(tokens, lexicon.members, table.points)
    calm = _calm_spans(tokens, lexicon)
    signs = lexicon.alarm_signs.hits(tokens)
    if signs:
        whole = table.base + total(features(found), table.points)
        rest = _without(tokens, calm)
        raised |= {
            hit.name
            for hit in (lexicon.alarm_signs.hits(rest) if calm else signs)
            if not _denied(rest, hit.start) and _believed(tokens, found, hit.start, hit.end, whole, table)
        }
    if not raised and len(tokens) > _BARE:
        points, start, end = _worst(found, tokens, calm, table)
        if points >= table.enough:
            raised = {likeliest(features(marks(tokens[start:end], lexicon.members)), table.kinds)}
    return [name for name in lexicon.tables.alarms if name in raised]


def _believed(
    tokens: Sequence[Token], found: Marks, start: int, end: int, whole: int, table: DangerPoints
) -> bool:
    """Whether the words about a sign, its sentence, or all together speak for danger.

    Of a few words ('mayday', 'straw bales burn!!') less is asked.
    """
    first, last = start, end
    while first > 0 and tokens[first - 1].kind != "end":
        first -= 1
    while last < len(tokens) and tokens[last].kind != "end":
        last += 1
    parts = [
        (max(0, start - _BESIDE), end + _BESIDE),
        (max(first, start - _BESIDE), min(last, end + _BESIDE)),
    ]
    points = [table.base + total(features(found[a:b]), table.points) for a, b in parts]
    few = parts[1][1] - parts[1][0]
    if few <= _BARE or (few <= _FEW and points[1] >= _FEW_ASK * table.doubtful):
        return True
    return max(whole, *points) >= table.doubtful


def _worst(found: Marks, tokens: Sequence[Token], calm: Spans, table: DangerPoints) -> tuple[int, int, int]:
    """(points, start, end) of the piece of the message that speaks most for danger."""

    def points(piece: tuple[int, int]) -> int:
        here = [past for start, end, past in calm if start < piece[1] and end > piece[0]]
        if any(here):
            return table.doubtful  # 'we had a fire in 2016'
        got = total(features(found[piece[0] : piece[1]]), table.points)
        return table.base + got - (table.calmed if here else 0)

    worst = max(pieces(tokens), key=points)
    return points(worst), *worst


def _calm_spans(tokens: Sequence[Token], lexicon: Lexicon) -> Spans:
    """Where turns of speech stand; 'what if' reaches to the end of its sentence, 'years ago' over the whole of it."""
    rest = list(tokens)
    out: list[tuple[int, int, bool]] = []
    while True:
        spans = []
        for hit in lexicon.alarm_calm.hits(rest):
            start, end = hit.start, hit.end
            if hit.name in ("if", "past"):
                while end < len(rest) and rest[end].kind != "end":
                    end += 1
            if hit.name == "past":
                while start > 0 and rest[start - 1].kind != "end":
                    start -= 1
            spans.append((start, end, hit.name == "past"))
        if not spans:
            return out
        rest, out = _without(rest, spans), [*out, *spans]


def _without(tokens: Sequence[Token], spans: Spans) -> list[Token]:
    out = list(tokens)
    for start, end, _ in spans:
        out[start:end] = [_HIDDEN] * (end - start)
    return out


def _denied(tokens: Sequence[Token], start: int) -> bool:
    """'no smoke', 'nobody hurt', 'never any dizziness': the word just before takes it back."""
    before = [token.text for token in tokens[max(0, start - 2) : start] if token.kind != "end"]
    return any(word in ("no", "nobody", "without", "never", "zero") for word in before)
