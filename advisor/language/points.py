"""Points for danger: each word, and each word with its neighbour, counts for or against; the sum decides.

The table is knowledge/words/danger_points.yaml. A feature is a word by its root, a group in curly brackets or a tag
in angle brackets; two with a space between stand side by side, in that order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from advisor.language.text import Token

__all__ = ["features", "likeliest", "members", "total"]

Members = Mapping[str, tuple[str, ...]]


def members(groups: Mapping[str, Sequence[str]]) -> Members:
    """Each single word of the groups, with the names of its groups in curly brackets."""
    out: dict[str, list[str]] = {}
    for name, words in groups.items():
        for word in words:
            if " " not in word.strip():
                out.setdefault(word.strip(), []).append(f"{{{name}}}")
    return {word: tuple(names) for word, names in out.items()}


def features(tokens: Sequence[Token], known: Members) -> set[str]:
    """What a message counts by: each of its words in every guise, alone and before its neighbour."""
    guises = [tuple(_guises(token, known)) for token in tokens]
    found = {one for each in guises for one in each}
    for left, right in pairwise(guises):
        found.update(f"{a} {b}" for a in left for b in right)
    return found


def _guises(token: Token, known: Members) -> Iterator[str]:
    if token.kind == "end":
        yield "?" if token.text == "?" else "."
        return
    yield "<number>" if token.kind == "num" else token.root or token.text
    yield from (f"<{tag}>" for tag in sorted(token.tags) if token.kind != "num" or tag != "number")
    yield from dict.fromkeys((*known.get(token.text, ()), *known.get(token.root, ())))


def total(found: set[str], points: Mapping[str, int]) -> int:
    """The sum of the points of what was found."""
    return sum(points[feature] for feature in found if feature in points)


def likeliest(found: set[str], kinds: Mapping[str, Mapping[str, int]]) -> str:
    """The kind of emergency with most points."""
    return max(kinds, key=lambda name: total(found, kinds[name]) + kinds[name].get("", 0))
