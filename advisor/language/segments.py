"""Where one message says one thing and then asks another: statements and questions apart."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.language.lexicon import Lexicon
from advisor.language.text import Token

__all__ = ["Segment", "segments"]


@dataclass(frozen=True)
class Segment:
    """A stretch of tokens, and whether it asks."""

    start: int
    end: int
    question: bool


def _asks(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    if not tokens:
        return False
    if tokens[-1].text == "?" and len(tokens) > 1:
        return True
    if any(hit.name in ("asks", "what_if") for hit in lexicon.question_cues.hits(tokens)):
        return True
    texts = [token.text for token in tokens]
    for at, text in enumerate(texts[:4]):
        after = texts[at + 1] if at + 1 < len(texts) else ""
        if text in lexicon.lists["openers"]:
            continue
        if text == "may" and after not in lexicon.lists["subjects"]:
            return False  # the month
        if text in ("is", "are", "was", "were", "should") and after in ("read", "say", "have", "been", "be"):
            return False  # 'should read 4'
        if after == "not" and not set(texts[at + 2 : at + 3]) & lexicon.lists["subjects"]:
            return False  # 'is not cows, is steers', 'will not root'
        if text == "what" and after in ("a", "an"):
            return False  # 'what a winter'
        if text == "when":
            return after in lexicon.lists["inverted"]
        return text in lexicon.lists["question_leads"]
    return False


def segments(tokens: Sequence[Token], lexicon: Lexicon) -> list[Segment]:
    """Cut at sentence ends, and at a comma or dash before a question word."""
    cuts = [0]
    for at, token in enumerate(tokens):
        if (token.kind == "end" and token.text != ".") or (
            token.kind == "end" and not _inside_number(tokens, at)
        ):
            cuts.append(at + 1)
        elif (
            token.text in (",", "-", "and", "but", "(", "so", ":")
            and at + 2 < len(tokens)
            and at - cuts[-1] >= 1
            and not (token.text == "-" and token.tight and tokens[at + 1].tight)  # 'lean-to is 6 m'
        ):
            after = tokens[at + 1].text
            skip = 2 if after in ("and", "but", "so", "for", "to", "at") else 1
            lead = tokens[at + skip].text if at + skip < len(tokens) else ""
            asks_when = (
                lead == "when"
                and tokens[at + skip + 1 : at + skip + 2]
                and (tokens[at + skip + 1].text in lexicon.lists["inverted"])
            )
            if (
                lead in lexicon.lists["open_words"]
                or asks_when
                or (
                    lead in ("is", "are", "do", "does", "can", "could", "should", "would", "will")
                    and token.text in (",", "-")
                    and _of_somebody(tokens, at + skip + 1, lexicon)
                )
            ):
                cuts.append(at + 1)
    cuts.append(len(tokens))
    found = []
    for start, end in itertools.pairwise(cuts):
        if end > start and any(t.kind in ("word", "num") for t in tokens[start:end]):
            found.append(Segment(start, end, _asks(tokens[start:end], lexicon)))
    for place in range(1, len(found)):
        first, second = found[place - 1], found[place]
        led = [token.text for token in tokens[first.start : first.start + 2]]
        asked = tokens[second.end - 1].text == "?"
        if (
            led in (["is", "not"], ["are", "not"])
            and tokens[second.start].text in ("is", "are")
            and not asked
        ):
            found[place] = Segment(second.start, second.end, False)  # 'is not cows, is 4 steers'
    return found


def _of_somebody(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> bool:
    """Whether somebody or something is asked of: ', is it enough', but not ', can go down to 5'."""
    if at >= len(tokens):
        return False
    named = tokens[at].tags & {"animal", "material"}
    return bool(named) or tokens[at].text in lexicon.lists["subjects"] | lexicon.lists["asked_of"]


def _inside_number(tokens: Sequence[Token], at: int) -> bool:
    """A full stop inside 'Nov. 5' or 'approx. 5'."""
    return bool(at + 1 < len(tokens) and tokens[at + 1].tight)
