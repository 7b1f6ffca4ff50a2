"""A bare cry: 'HELP!!!', which may be a person in danger or somebody lost in the questions."""

from __future__ import annotations

import re
from collections.abc import Collection

__all__ = ["is_cry"]

_GASP = re.compile(r"(a+r*g*h+|o+h+|a{3,})")
_MOST_WORDS = 6


def is_cry(message: str, words: Collection[str]) -> bool:
    """Whether a message is nothing but a cry: these words and no other, loud by capitals or more than one mark."""
    if "!" not in message:
        return False
    letters = "".join(c for c in message if c.isalpha())
    if not letters or (message.count("!") < 2 and not letters.isupper()):
        return False
    said = re.findall(r"[^\W\d_]+", message.casefold())
    left = [word for word in said if not _GASP.fullmatch(word)]
    return 0 < len(left) <= _MOST_WORDS and "help" in left and set(left) <= set(words)
