"""What a message tells in passing: answers to questions that are not open, in the keeper's own words."""

from __future__ import annotations

import re
from collections.abc import Container, Iterator
from dataclasses import dataclass

from advisor.language.lexicon import Lexicon
from advisor.language.patterns import Hit
from advisor.language.prepare import prepare
from advisor.language.text import Token, plain, tokenise

__all__ = ["InPassing", "in_passing"]

#: A clause ends at a stop or a comma, but not inside a number.
_CLAUSE_END = re.compile(r"(?<=[.;!?\n])\s+|,(?!\d)\s*|\s-+\s")
_TELLING = frozenset({"animal", "material", "number", "date"})


@dataclass(frozen=True)
class InPassing:
    """One thing told: its entry in knowledge/words/unasked.yaml and the words that told it."""

    name: str
    words: str


def in_passing(message: str, lexicon: Lexicon, wanted: Container[str]) -> tuple[tuple[InPassing, ...], str]:
    """What is told in passing, of the entries wanted, and the rest of the message without the stretches that told it.

    A clause that asks tells nothing. Where a clause holds no animal, bedding, number or date besides, it goes whole.
    """
    found: list[InPassing] = []
    rest: list[str] = []
    for clause in _clauses(plain(message)):
        tokens, _ = prepare(tokenise(clause), lexicon)
        asks = clause.rstrip().endswith("?")
        hits = [] if asks else [hit for hit in lexicon.unasked.hits(tokens) if hit.name in wanted]
        if not hits:
            rest.append(clause)
            continue
        found += [InPassing(hit.name, _words(clause, tokens, hit)) for hit in _widest(hits)]
        left = _without(clause, tokens, hits)
        if left:
            rest.append(left)
    return tuple(found), ", ".join(part.strip() for part in rest if part.strip())


def _clauses(text: str) -> Iterator[str]:
    at = 0
    for match in _CLAUSE_END.finditer(text):
        yield text[at : match.start()]
        at = match.end()
    yield text[at:]


def _widest(hits: list[Hit]) -> list[Hit]:
    """One hit for each entry, the widest: 'due mid april' and not 'due'."""
    best: dict[str, Hit] = {}
    for hit in hits:
        if hit.name not in best or hit.end - hit.start > best[hit.name].end - best[hit.name].start:
            best[hit.name] = hit
    return list(best.values())


def _words(clause: str, tokens: list[Token], hit: Hit) -> str:
    return clause[tokens[hit.start].start : tokens[hit.end - 1].end]


def _without(clause: str, tokens: list[Token], hits: list[Hit]) -> str:
    covered = {place for hit in hits for place in range(hit.start, hit.end)}
    left = [token for place, token in enumerate(tokens) if place not in covered]
    if not any(token.tags & _TELLING for token in left):
        return ""
    kept = list(clause)
    for hit in hits:
        for at in range(tokens[hit.start].start, tokens[hit.end - 1].end):
            kept[at] = " "
    return " ".join("".join(kept).split())
