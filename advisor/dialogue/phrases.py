"""The adviser's own sentences and command words, from knowledge/phrases/conversation.yaml."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import Any

__all__ = ["command_of", "joined", "normal", "one_of", "place_words", "result_words", "sentence", "table"]


@cache
def table(name: str) -> Mapping[str, Any]:
    """A part of the file."""
    from advisor.knowledge.base import plain_data

    found: Mapping[str, Any] = plain_data("phrases/conversation.yaml")[name]
    return found


def sentence(name: str, /, **values: object) -> str:
    """A sentence with its places filled."""
    return " ".join(str(table("says")[name]).format(**values).split())


def place_words(place: str) -> str | None:
    """How a fact at this place of the farm is echoed, or None where it is not."""
    return table("echo").get(place)


def result_words() -> Mapping[str, Sequence[str]]:
    """Result name: the words people ask for it by."""
    return table("results")


def normal(text: str) -> str:
    """A short message as compared with command words and choices: small letters, no punctuation."""
    return " ".join(re.sub(r"[^\w%/]+", " ", text.casefold().replace("'", "").replace("’", "")).split())


def command_of(text: str) -> str | None:
    """The command that the whole message is, if it is one."""
    said = normal(text).removeprefix("please ").removesuffix(" please") if len(text) < 80 else ""
    return _commands().get(said)


@cache
def _commands() -> Mapping[str, str]:
    return {normal(word): name for name, words in table("commands").items() for word in words}


def one_of(name: str) -> str:
    """A name with its article, at the start of a sentence.

    >>> one_of("alpaca"), one_of("ewe")
    ('An alpaca', 'A ewe')
    """
    return f"{'An' if name[:1] in 'aio' else 'A'} {name}"


def joined(items: Iterable[str], word: str = "and") -> str:
    """'a', 'a and b', 'a, b and c'.

    >>> joined(["cows", "calves", "pigs"])
    'cows, calves and pigs'
    """
    found = list(items)
    return found[0] if len(found) == 1 else f"{', '.join(found[:-1])} {word} {found[-1]}" if found else ""
