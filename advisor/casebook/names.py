"""Case names: the user's own words on the screen, a safe file name on the disk."""

from __future__ import annotations

import hashlib
import re
import unicodedata

__all__ = ["file_stem", "name_key", "shown"]

_SLUG_LENGTH = 40
_DIGEST_LENGTH = 20
# Marks that turn the writing direction: in a name they could make a list read as what it is not.
_DIRECTION_MARKS = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def name_key(name: str) -> str:
    """What makes two names the same case: letters without regard to capitals, form or spacing."""
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())
    return " ".join(folded.split())


def file_stem(name: str) -> str:
    """A file name without its ending: lower-case ASCII for the eye, then a digest that tells names apart.

    Never a path, never a reserved word, never too long, and the same on file systems that
    do not tell capitals from small letters.
    """
    key = name_key(name)
    plain = unicodedata.normalize("NFKD", key).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "-", plain.lower())[:_SLUG_LENGTH].strip("-")
    digest = hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGEST_LENGTH]
    return f"{slug}-{digest}" if slug else digest


def shown(text: str) -> str:
    """The text safe for one line of a terminal: what moves the cursor or cannot be printed is marked."""
    return "".join("\ufffd" if _unprintable(character) else character for character in text)


def _unprintable(character: str) -> bool:
    return character in _DIRECTION_MARKS or unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp")
