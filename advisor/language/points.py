"""Points for danger: each word, and each word with its neighbour, counts for or against; the sum decides.

The table is knowledge/words/danger_points.yaml. A feature is a word by its root, a group in curly brackets or a tag
in angle brackets; two with a space between stand side by side, in that order.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest

from advisor.language.text import Token

__all__ = ["Marks", "features", "likeliest", "marks", "members", "pieces", "total"]

Members = Mapping[str, tuple[str, ...]]
#: for each token what it counts by alone, and what it counts by before its neighbour
Marks = Sequence[tuple[frozenset[str], frozenset[str]]]

_STRETCH = 16
_STEP = 4


def members(groups: Mapping[str, Sequence[str]]) -> Members:
    """Each single word of the groups, with the names of its groups in curly brackets."""
    out: dict[str, list[str]] = {}
    for name, words in groups.items():
        for word in words:
            if " " not in word.strip():
                out.setdefault(word.strip(), []).append(f"{{{name}}}")
    return {word: tuple(names) for word, names in out.items()}


def marks(tokens: Sequence[Token], known: Members, points: Mapping[str, int] | None = None) -> Marks:
    """What each token counts by, in every guise; with `points`, only what has some."""
    guises = [tuple(_guises(token, known)) for token in tokens]
    out = []
    for here, following in zip_longest(guises, guises[1:], fillvalue=()):
        alone = frozenset(here)
        paired = frozenset(f"{a} {b}" for a in here for b in following)
        out.append((alone & points.keys(), paired & points.keys()) if points is not None else (alone, paired))
    return out


def features(found: Marks) -> set[str]:
    """What a message, or a piece of one, counts by: each thing once."""
    out = {one for alone, _ in found for one in alone}
    for _, paired in found[:-1]:
        out |= paired
    return out


def pieces(tokens: Sequence[Token]) -> Iterator[tuple[int, int]]:
    """The places danger may be told in: the whole message, each sentence, and stretches of a long one.

    Weighed as a whole, a page about the farm would drown the one sentence that tells of an emergency.
    """
    yield 0, len(tokens)
    start = 0
    for at, token in enumerate(tokens):
        if token.kind == "end":
            yield start, at
            start = at + 1
    if start:
        yield start, len(tokens)
    if len(tokens) > _STRETCH:
        yield from (
            (at, min(at + _STRETCH, len(tokens))) for at in range(0, len(tokens) - _STRETCH + _STEP, _STEP)
        )


def _guises(token: Token, known: Members) -> Iterator[str]:
    if token.kind == "end":
        yield "?" if token.text == "?" else "."
        return
    yield "<number>" if token.kind == "num" else token.root or token.text
    yield from (f"<{tag}>" for tag in sorted(token.tags) if token.kind != "num" or tag != "number")
    yield from dict.fromkeys((*known.get(token.text, ()), *known.get(token.root, ())))


def total(found: Iterable[str], points: Mapping[str, int]) -> int:
    """The sum of the points of what was found."""
    return sum(points[feature] for feature in found if feature in points)


def likeliest(found: set[str], kinds: Mapping[str, Mapping[str, int]]) -> str:
    """The kind of emergency with most points."""
    return max(kinds, key=lambda name: total(found, kinds[name]) + kinds[name].get("", 0))
