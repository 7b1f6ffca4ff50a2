"""What a message is read into: its tokens, and the names, amounts, dates and words they make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from advisor.language.dates import DateRead
from advisor.language.numbers import Number
from advisor.language.tables import Asked
from advisor.language.text import Token

__all__ = ["Item", "Scan"]


@dataclass(frozen=True)
class Item:
    """Something said: a name, a bare number, an amount, sides, a date, or one plain token."""

    kind: str  # word, sign, number, amount, sides, date, animal, material, breed, pack, price
    start: int
    end: int
    text: str
    name: str = ""
    number: Number | None = None
    unit: str = ""
    si: tuple[float, float] = (0.0, 0.0)
    date: DateRead | None = None
    weak: bool = False
    refused: bool = False
    unit_mass: tuple[float, float] | None = None  # of one pack, kg
    unit_volume: tuple[float, float] | None = None
    spoken: str = ""  # in the user's own units
    each: str = ""  # the weight of one pack, in the user's own units
    breed: str = ""


@dataclass(frozen=True)
class Scan:
    """A message read as tokens and items."""

    text: str
    tokens: tuple[Token, ...]
    items: tuple[Item, ...]
    asked: Asked | None = None
    subject: str = ""
    us: bool = False
    raw: str = ""
    slips: Mapping[str, str] = field(default_factory=dict)

    def words(self) -> set[str]:
        """Every token text."""
        return {token.text for token in self.tokens}
