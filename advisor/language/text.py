"""Message text to tokens: one spelling of signs and quotes, and the roots that words are compared by."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field, replace
from functools import lru_cache

__all__ = ["Token", "plain", "root", "stem", "tokenise"]

#: Longer messages are cut here: nobody types more, and every step stays linear.
MOST_CHARACTERS = 2000

_SIGNS = str.maketrans(
    {
        "’": "'", "‘": "'", "`": "'", "´": "'", "′": "'", "“": '"', "”": '"', "″": '"', "„": '"',
        "–": "-", "—": " - ", "−": "-", "‑": "-", "×": " x ", "⁄": "/", "°": " deg ", "º": " deg ",
        "~": " about ", "≈": " about ", "±": " about ", "…": " . ", "→": " - ", "·": ".",
    }
)  # fmt: skip
_MARKUP = re.compile(r"<[^<>]{0,200}>|\{[%{].{0,200}?[%}]\}")
_CONTROLS = re.compile(r"[\x00-\x09\x0b-\x1f\x7f]")
_TOKEN = re.compile(
    r"(?P<num>\d+(?:[.,]\d+)*|[.,]\d+)"
    r"|(?P<word>(?:sq)?(?:mm|cm|m|ft|yd|in|km)[23](?![a-z0-9])|h2s\b|co2\b|nh3\b|[^\W\d_]+(?:'[^\W\d_]+)*)"
    r"|(?P<end>[.!?;\n]+)"
    r"|(?P<sign>[^\s])"
)


@dataclass(frozen=True)
class Token:
    """A word, number or sign: as read, by its root, and where it stood in the message."""

    text: str
    kind: str
    start: int
    end: int
    stem: str = ""
    root: str = ""
    tight: bool = False  # no space before it
    tags: frozenset[str] = field(default=frozenset())

    def renamed(self, text: str) -> Token:
        """The same place in the message, read as another word."""
        kind = "num" if text[:1].isdigit() else "word"
        return replace(self, text=text, kind=kind, stem=stem(text), root=root(text))


def plain(message: str) -> str:
    """One way of writing quotes, dashes, signs and fractions; markup and control characters gone."""
    text = message[:MOST_CHARACTERS]
    if text.isascii():
        return _CONTROLS.sub(" ", _MARKUP.sub(" ", text.translate(_SIGNS))).lower()[: 2 * MOST_CHARACTERS]
    text = "".join(
        f" {unicodedata.normalize('NFKC', c)} " if unicodedata.category(c) == "No" and c not in "²³" else c
        for c in text
    )
    text = unicodedata.normalize("NFKC", text.translate(_SIGNS)).translate(_SIGNS)
    text = _MARKUP.sub(" ", text)
    text = "".join(
        c if c == "\n" or unicodedata.category(c)[0] not in "CM" or c == "\u0308" else " " for c in text
    )
    return text.lower()[: 2 * MOST_CHARACTERS]


@lru_cache(maxsize=20000)
def stem(word: str) -> str:
    """A noun without its plural ending."""
    word = word.removesuffix("'s").removesuffix("'")
    if len(word) <= 3 or not word.isascii():
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("sses", "xes", "zes", "ches", "shes")):
        return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


@lru_cache(maxsize=20000)
def root(word: str) -> str:
    """What the forms of a word share: smell, smells, smelled, smelling. Only ever compared with itself."""
    word = stem(word)
    if len(word) <= 3:
        return word
    for ending in ("ing", "ed"):
        cut = word.removesuffix(ending)
        if cut != word and len(cut) >= 3 and any(c in "aeiouy" for c in cut):
            word = cut
            break
    if len(word) > 4 and word.endswith("e"):
        word = word[:-1]
    if len(word) > 3 and word[-1] == word[-2]:
        word = word[:-1]
    if len(word) > 3 and word.endswith("i"):
        word = word[:-1] + "y"
    return word


def tokenise(text: str) -> list[Token]:
    """Tokens of text already made plain. Sentence ends are tokens, so that nothing reads across them."""
    out: list[Token] = []
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup or "sign"
        word = match[0]
        tight = match.start() > 0 and not text[match.start() - 1].isspace()
        if kind == "word":
            word = word.strip("'")
        elif kind == "end":
            # A full stop after a short form ('approx. 5', '5. november') ends no sentence.
            word = "?" if "?" in word else "\n" if "\n" in word else word[0]
        out.append(Token(word, kind, match.start(), match.end(), stem(word), root(word), tight))
    return out
