"""A figure: one number that the adviser knows, with its range, unit and the evidence behind it."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from advisor.units import UnitError, convert, same_dimension

__all__ = ["SEEN_WORDS", "Evidence", "Figure", "In", "PartError", "Seen", "Strict"]

Seen = Literal["primary", "secondary", "memory", "common-practice", "judgement"]

SEEN_WORDS: dict[str, str] = {
    "primary": "read in the source itself",
    "secondary": "quoted by another text",
    "memory": "from memory, not seen",
    "common-practice": "common practice, no published source",
    "judgement": "judgement",
}

# Only these may stand without a source: they say so wherever they are shown.
_SOURCELESS = {"memory", "common-practice", "judgement"}


class Strict(BaseModel):
    """Base of every knowledge model: unknown keys are faults, values do not change."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class PartError(ValueError):
    """A fault of parts of what is checked: `parts` are the ways to them, so that each gets told with its line."""

    def __init__(self, message: str, *parts: tuple[str | int, ...]) -> None:
        self.parts = parts
        super().__init__(message)


class Evidence(Strict):
    """What one source says about a figure, in that source's own number and unit."""

    source: str | None = None
    at: str = ""
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str = ""
    seen: Seen
    note: str = ""

    @model_validator(mode="after")
    def _has_source_or_says_why_not(self) -> Evidence:
        if self.source is None and self.seen not in _SOURCELESS:
            raise ValueError(f"evidence seen as '{self.seen}' needs a source")
        if self.value is None and self.low is None and self.high is None:
            raise ValueError("evidence needs a value, or low and high")
        _in_order(self.low, self.value, self.high)
        return self


class Figure(Strict):
    """The working value with its likely range, and the evidence it was chosen from.

    `low` and `high` span the values met in practice: draws are triangular between them.
    """

    value: float
    low: float
    high: float
    unit: str
    basis: str = Field(min_length=1)
    why: str = ""
    evidence: tuple[Evidence, ...] = Field(min_length=1)

    @model_validator(mode="before")
    @classmethod
    def _single_value_is_its_own_range(cls, data: Any) -> Any:
        if isinstance(data, dict) and "value" in data and "low" not in data and "high" not in data:
            return {**data, "low": data["value"], "high": data["value"]}
        return data

    @model_validator(mode="after")
    def _ordered(self) -> Figure:
        _in_order(self.low, self.value, self.high)
        if len(self.evidence) > 1 and not self.why:
            raise ValueError("several sources: say in 'why' how the working value was chosen")
        strange = [number for number, item in enumerate(self.evidence) if not _fits(number, item, self.unit)]
        if strange:
            # Where all evidence disagrees it may be the figure's own unit that is wrong: both places are told.
            parts: list[tuple[str | int, ...]] = [("evidence", number, "unit") for number in strange]
            if len(strange) == len(self.evidence):
                parts = [("unit",), parts[0]]
            units = ", ".join(dict.fromkeys(f"'{self.evidence[number].unit}'" for number in strange))
            raise PartError(f"evidence is in {units}, the figure in '{self.unit}'", *parts)
        return self

    @property
    def seen(self) -> Seen:
        """The best way in which any evidence was seen."""
        order = list(SEEN_WORDS)
        return min((item.seen for item in self.evidence), key=order.index)

    def to(self, unit: str) -> Figure:
        """The same figure in another unit."""
        if unit == self.unit:
            return self
        value, low, high = (convert(x, self.unit, unit) for x in (self.value, self.low, self.high))
        return self.model_copy(update={"value": value, "low": low, "high": high, "unit": unit})


def _in_order(low: float | None, value: float | None, high: float | None) -> None:
    known = [x for x in (low, value, high) if x is not None]
    if known != sorted(known):
        part = () if value is None else ("value",)
        raise PartError(f"must rise from low to value to high, got {', '.join(str(x) for x in known)}", part)


def _fits(number: int, item: Evidence, unit: str) -> bool:
    """Whether evidence measures the same as the figure. Raises PartError on an unknown unit."""
    try:
        return not item.unit or same_dimension(item.unit, unit)
    except UnitError as fault:
        raise PartError(f"evidence: {fault}", ("unit",), ("evidence", number, "unit")) from fault


class In:
    """Marks the SI unit a figure is held in: `Annotated[Figure, In("kg/m3")]`.

    The loader converts to it, so that formulas receive plain SI numbers.
    """

    def __init__(self, unit: str, *, least: float | None = 0.0, most: float | None = None) -> None:
        self.unit, self.least, self.most = unit, least, most

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_after_validator_function(self._convert, handler(source))

    def _convert(self, figure: Figure | None) -> Figure | None:
        if figure is None:
            return None
        try:
            held = figure.to(self.unit)
        except UnitError as fault:
            raise PartError(str(fault), ("unit",)) from fault
        if self.least is not None and held.low < self.least:
            what = f"{figure.low:g} {figure.unit} is below the least possible, {self.least:g} {self.unit}"
            raise PartError(what, ("low",))
        if self.most is not None and held.high > self.most:
            what = f"{figure.high:g} {figure.unit} is above the most possible, {self.most:g} {self.unit}"
            raise PartError(what, ("high",))
        return held


Share = Annotated[Figure, In("fraction", least=0.0, most=1.0)]
