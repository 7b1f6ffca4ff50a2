"""Sign phrases: the small pattern language of knowledge/words, and its matcher.

A pattern is one line of words. Words match by root, so `smell` also reads smells and smelling.
    a/b        either            a_b      two words as one choice      a?     may be absent
    {group}    any of a group    =word    exactly this spelling        <tag>  a word so tagged (animal, number ...)
    ..  ...    up to 3 or 8 words between, within a sentence
    ^  $       start and end of a sentence
    A & B      both, anywhere    A ! B    A without B anywhere (B by exact spelling)
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from advisor.language.text import Token, plain, root, tokenise

__all__ = ["Grammar", "Hit", "Pattern", "PatternSet"]

Rewrite = Callable[[list[str]], list[str]]

_GAPS = {"..": 3, "...": 8}


@dataclass(frozen=True)
class Element:
    """One place in a run: what may stand there and how far it may stand from the one before."""

    words: frozenset[str]
    exact: frozenset[str]
    tags: frozenset[str]
    runs: tuple[tuple[str, ...], ...]
    optional: bool
    gap: int
    by_text: bool = False

    def spans(self, tokens: Sequence[Token], at: int) -> Iterable[int]:
        """The positions after this element, if it stands at `at`."""
        if at >= len(tokens):
            return
        token = tokens[at]
        if self.by_text:
            if token.text in self.words or token.text in self.exact or self.tags & token.tags:
                yield at + 1
            for run in self.runs:
                if token.text == run[0] and tuple(t.text for t in tokens[at : at + len(run)]) == run:
                    yield at + len(run)
            return
        if token.root in self.words or token.text in self.exact or self.tags & token.tags:
            yield at + 1
        for run in self.runs:
            if token.root == run[0] and tuple(t.root for t in tokens[at : at + len(run)]) == run:
                yield at + len(run)


@dataclass(frozen=True)
class Run:
    """Elements in order."""

    elements: tuple[Element, ...]
    at_start: bool
    at_end: bool

    def find(self, tokens: Sequence[Token]) -> tuple[int, int] | None:
        """The first span where the run stands."""
        for start in range(len(tokens)):
            if self.at_start and not (start == 0 or tokens[start - 1].kind == "end"):
                continue
            end = self._from(tokens, start, 0, True)
            if end is not None:
                return start, end
        return None

    def _from(self, tokens: Sequence[Token], at: int, index: int, first: bool) -> int | None:
        if index == len(self.elements):
            ended = at >= len(tokens) or tokens[at].kind == "end"
            return at if ended or not self.at_end else None
        element = self.elements[index]
        place, left = at, 0 if first else element.gap
        while place <= len(tokens):
            for after in element.spans(tokens, place):
                end = self._from(tokens, after, index + 1, False)
                if end is not None:
                    return end
            if left == 0 or place >= len(tokens) or tokens[place].kind == "end":
                break
            left -= tokens[place].kind != "sign"
            place += 1
        if element.optional:
            return self._from(tokens, at, index + 1, first)
        return None

    def keys(self) -> frozenset[str] | None:
        """Roots of which one must be in a message for the run to match; None where a tag may do."""
        best: frozenset[str] | None = None
        for element in self.elements:
            if element.optional or element.tags:
                continue
            words: set[str] | frozenset[str] = (
                element.words | {run[0] for run in element.runs} | set(element.exact)
            )
            if element.by_text or element.exact:
                words = {root(word) for word in words} | (set() if element.by_text else element.words)
            if best is None or len(words) < len(best):
                best = frozenset(words)
        return best


@dataclass(frozen=True)
class Pattern:
    """A sign phrase: runs that must be there and runs that must not."""

    source: str
    present: tuple[Run, ...]
    absent: tuple[Run, ...]


@dataclass(frozen=True)
class Hit:
    """A phrase found: whose it is and the tokens it covers."""

    name: str
    start: int
    end: int
    source: str


class Grammar:
    """The groups that patterns name, expanded once, and the spelling they are read by."""

    def __init__(
        self, groups: Mapping[str, Sequence[str]], rewrite: Rewrite = list, expanded: Iterable[Any] = ()
    ) -> None:
        self._groups, self._rewrite = groups, rewrite
        self._expanded: dict[tuple[str, bool], tuple[frozenset[str], frozenset[tuple[str, ...]]]] = {}
        self._ready = {(name, by_text): (words, runs) for name, by_text, words, runs in expanded}

    def expanded(self) -> list[Any]:
        """The groups expanded so far, for a grammar made later to start from."""
        return [
            [name, by_text, sorted(words), sorted(runs)]
            for (name, by_text), (words, runs) in sorted(self._expanded.items())
        ]

    def _members(
        self, members: Sequence[str], by_text: bool
    ) -> tuple[frozenset[str], frozenset[tuple[str, ...]]]:
        words: set[str] = set()
        runs: set[tuple[str, ...]] = set()
        for member in members:
            texts = self._rewrite([token.text for token in tokenise(plain(member))])
            parts = tuple(texts if by_text else (root(word) for word in texts))
            if len(parts) == 1:
                words.add(parts[0])
            elif parts:
                runs.add(parts)
        return frozenset(words), frozenset(runs)

    def _group(self, name: str, by_text: bool) -> tuple[frozenset[str], frozenset[tuple[str, ...]]]:
        key = (name, by_text)
        if key not in self._expanded and key in self._ready:
            words, runs = self._ready[key]
            self._expanded[key] = frozenset(words), frozenset(tuple(run) for run in runs)
        if key not in self._expanded:
            if name not in self._groups:
                raise ValueError(f"no group {{{name}}}")
            self._expanded[key] = self._members(self._groups[name], by_text)
        return self._expanded[key]

    def _element(self, text: str, gap: int, by_text: bool) -> Element:
        optional = text.endswith("?") and len(text) > 1
        words: set[str] = set()
        exact: set[str] = set()
        tags: set[str] = set()
        runs: set[tuple[str, ...]] = set()
        for part in (text[:-1] if optional else text).split("/"):
            choice = part.removesuffix("?") or "?"
            if choice.startswith("<"):
                tags.add(choice.strip("<>"))
            elif choice.startswith("="):
                exact.add(choice[1:])
            else:
                found = (
                    self._group(choice.strip("{}"), by_text)
                    if choice.startswith("{")
                    else self._members([choice.replace("_", " ")], by_text)
                )
                words |= found[0]
                runs |= found[1]
        ordered = tuple(sorted(runs, key=lambda run: (-len(run), run)))
        return Element(frozenset(words), frozenset(exact), frozenset(tags), ordered, optional, gap, by_text)

    def _run(self, text: str, by_text: bool) -> Run:
        elements: list[Element] = []
        at_start = at_end = False
        gap = 0
        for part in text.split():
            if part == "^":
                at_start = True
            elif part == "$":
                at_end = True
            elif part in _GAPS:
                gap = _GAPS[part]
            else:
                elements.append(self._element(part, gap, by_text))
                gap = 0
        if not elements:
            raise ValueError(f"empty pattern '{text}'")
        return Run(tuple(elements), at_start, at_end)

    def compile(self, text: str, by_text: bool = False) -> Pattern:
        """Read one line. Raises ValueError on an unknown group or an empty part."""
        wanted, *unwanted = text.split(" ! ")
        return Pattern(
            text,
            tuple(self._run(part, by_text) for part in wanted.split(" & ")),
            tuple(self._run(part, True) for part in unwanted),
        )


class PatternSet:
    """Many named patterns, found in one pass: only those whose key word is in the message are tried."""

    def __init__(self, named: Mapping[str, str], grammar: Grammar, by_text: bool = False) -> None:
        self._grammar, self._by_text = grammar, by_text
        self._lines: list[tuple[str, str]] = []  # name and pattern, in the order of the table
        self._patterns: dict[int, Pattern] = {}
        self._by_key: dict[str, list[int]] = defaultdict(list)
        self._always: list[int] = []
        for name, block in named.items():
            for line in block.splitlines():
                line = line.strip()
                if line and not line.startswith("#"):
                    self._add(name, line)

    def _add(self, name: str, line: str) -> None:
        number = len(self._lines)
        self._lines.append((name, line))
        pattern = self._patterns[number] = self._grammar.compile(line, self._by_text)
        keys = min((k for r in pattern.present if (k := r.keys())), key=len, default=None)
        if keys is None:
            self._always.append(number)
        for key in keys or ():
            self._by_key[key].append(number)

    def index(self) -> list[Any]:
        """Everything but the compiled patterns, as JSON can hold it."""
        return [self._by_text, self._lines, self._by_key, self._always]

    @classmethod
    def kept(cls, index: list[Any], grammar: Grammar) -> PatternSet:
        """From an index kept earlier; each pattern is compiled when it is first needed."""
        by_text, lines, by_key, always = index
        new = cls({}, grammar, by_text)
        new._lines, new._always = [(name, line) for name, line in lines], always
        new._by_key.update(by_key)
        return new

    def _pattern(self, number: int) -> Pattern:
        if number not in self._patterns:
            self._patterns[number] = self._grammar.compile(self._lines[number][1], self._by_text)
        return self._patterns[number]

    def hits(self, tokens: Sequence[Token]) -> list[Hit]:
        """Every pattern that stands in the message, in the order of the table."""
        found = set(self._always)
        for word in {token.root for token in tokens}:
            found.update(self._by_key.get(word, ()))
        out: list[Hit] = []
        for number in sorted(found):
            pattern = self._pattern(number)
            spans = []
            for run in pattern.present:
                span = run.find(tokens)
                if span is None:
                    break
                spans.append(span)
            else:
                if not any(run.find(tokens) for run in pattern.absent):
                    out.append(Hit(self._lines[number][0], *spans[0], pattern.source))
        return out
