"""A farm as its keeper tells it. Whatever is left out is assumed later, and listed as assumed.

The same model serves the farm file and the conversation: a field that is None was not told.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from advisor.units import UnitError, convert, parse_quantity

__all__ = [
    "Addition",
    "Base",
    "Change",
    "Day",
    "Farm",
    "Goals",
    "Group",
    "Land",
    "Measure",
    "Pen",
    "Prices",
    "Supply",
    "Turning",
]


class Part(BaseModel):
    """Base of every part of a farm: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Measure(Part):
    """A told amount in the field's own SI unit, with a range where the keeper gave one."""

    value: float
    low: float
    high: float
    said: str = ""

    @model_validator(mode="after")
    def _ordered(self) -> Measure:
        if not self.low <= self.value <= self.high:
            raise ValueError(
                f"must rise from low to value to high, got {self.low:g}, {self.value:g}, {self.high:g}"
            )
        return self

    @property
    def exact(self) -> bool:
        """Whether one number was told rather than a range."""
        return self.low == self.high


_RANGE = re.compile(r"\s*([-+]?\d+(?:\.\d+)?)\s*(?:-|–|to)\s*(\d+(?:\.\d+)?)\s*(.*)")


def read_measure(raw: Any, unit: str, least: float | None, most: float | None) -> Any:
    """A number (in `unit`), '96 m2', '8 m x 12 m', '600 to 650 kg', or {value, low, high, unit}."""
    if raw is None or isinstance(raw, Measure):
        return raw
    if isinstance(raw, bool):
        raise ValueError(f"give a number with its unit, such as '10 {unit}'")
    if isinstance(raw, int | float):
        measure = Measure(value=float(raw), low=float(raw), high=float(raw), said=f"{raw:g} {unit}")
    elif isinstance(raw, str):
        try:
            between = _RANGE.fullmatch(raw)
            if between:
                low, high = (parse_quantity(f"{between[i]} {between[3]}", unit) for i in (1, 2))
                if low > high:
                    raise ValueError(f"'{raw}' runs from high to low")
                measure = Measure(value=(low + high) / 2, low=low, high=high, said=raw)
            else:
                value = parse_quantity(raw, unit)
                measure = Measure(value=value, low=value, high=value, said=raw)
        except UnitError as fault:
            raise ValueError(
                f"{fault}; give it in {unit} or a unit that can be turned into {unit}"
            ) from fault
    elif isinstance(raw, dict) and "value" in raw:
        given = str(raw.get("unit", unit))
        whole = {"low": raw["value"], "high": raw["value"], **raw}
        try:
            value, low, high = (convert(float(whole[key]), given, unit) for key in ("value", "low", "high"))
        except (UnitError, TypeError, ValueError) as fault:
            raise ValueError(str(fault)) from fault
        measure = Measure(value=value, low=low, high=high, said=str(raw.get("said", "")))
    else:
        raise ValueError(f"give a number with its unit, such as '10 {unit}'")
    if unit == "fraction" and most == 1.0 and not 0.0 <= measure.low <= measure.high <= 1.0:
        said = measure.said.removesuffix(" fraction")
        raise ValueError(f"{said} is not a share; write it from 0 % to 100 %, or from 0 to 1")
    said, named = (measure.said, unit) if unit != "fraction" else (measure.said.removesuffix(" fraction"), "")
    if least is not None and measure.low < least:
        raise ValueError(f"{said or measure.low} is too small: at least {least:g} {named}".rstrip())
    if most is not None and measure.high > most:
        raise ValueError(f"{said or measure.high} is too large: at most {most:g} {named}".rstrip())
    return measure


def _in(unit: str, least: float | None = 0.0, most: float | None = None) -> BeforeValidator:
    return BeforeValidator(
        lambda raw: read_measure(raw, unit, least, most), json_schema_input_type=float | str | dict
    )


def _read_day(raw: Any) -> Any:
    if raw is None:
        return raw
    try:
        day = raw if isinstance(raw, dt.date) else dt.date.fromisoformat(str(raw))
    except ValueError as fault:
        raise ValueError(f"'{str(raw)[:40]}' is not a date; write it as 2026-11-05") from fault
    if not 1900 <= day.year <= 2200:
        raise ValueError(f"{day} is no year for this plan; write it as 2026-11-05")
    return day


Day = Annotated[dt.date, BeforeValidator(_read_day, json_schema_input_type=str)]
Kg = Annotated[Measure, _in("kg", 0, 5e7)]
KgDay = Annotated[Measure, _in("kg/day", 0, 1e6)]
Length = Annotated[Measure, _in("m", 0, 50)]
Area = Annotated[Measure, _in("m2", 0.5, 1e6)]
ShareOf = Annotated[Measure, _in("fraction", 0, 1)]
Money = Annotated[float, Field(ge=0, le=1e9)]
Name = Annotated[str, Field(max_length=200)]


class Change(Part):
    """Animals that come or go: from this day on there are `count` of them."""

    date: Day
    count: int = Field(ge=0, le=100000)
    why: str = ""


class Excreta(Part):
    """What this herd leaves, a head and day, where it is known better than the tables."""

    excreta: KgDay | None = None
    dry_matter: KgDay | None = None
    volatile_solids: KgDay | None = None
    urine: KgDay | None = None
    nitrogen: KgDay | None = None
    urine_nitrogen: ShareOf | None = None
    phosphorus: KgDay | None = None
    potassium: KgDay | None = None

    @model_validator(mode="after")
    def _parts_of_the_whole(self) -> Excreta:
        for part, whole in (
            ("dry_matter", "excreta"),
            ("urine", "excreta"),
            ("volatile_solids", "dry_matter"),
            ("nitrogen", "excreta"),
        ):
            small, large = getattr(self, part), getattr(self, whole)
            if small and large and small.value > large.value:
                raise ValueError(
                    f"{part} is {small.value:g} kg a day, but {whole}, which it is part of, only {large.value:g}"
                )
        return self


class Feed(Part):
    """What the group is fed, and whether it lands on the bed."""

    kind: Literal["hay", "silage", "grain", "mixed", "grazing"] | None = None
    on_bed: bool | None = None
    wasted: KgDay | None = Field(
        None, description="feed that lands on the bed and is not eaten, all heads together"
    )


class Group(Part):
    """Animals of one class in one pen."""

    id: str = ""
    class_: str = Field(alias="class")
    count: int = Field(ge=1, le=100000)
    count_low: int | None = Field(None, ge=1)
    count_high: int | None = Field(None, ge=1)
    weight: Annotated[Measure, _in("kg/head", 0.02, 1500)] | None = None
    pen: str = ""
    hours_on_bed: Annotated[Measure, _in("h/day", 0, 24)] | None = None
    in_: Day | None = Field(None, alias="in")
    out: Day | None = None
    changes: tuple[Change, ...] = ()
    feed: Feed | None = None
    births_due: bool | None = None
    horned: bool | None = None
    excreta: Excreta | None = None

    @model_validator(mode="after")
    def _in_before_out(self) -> Group:
        if (self.count_low or 0) > self.count or (self.count_high or self.count) < self.count:
            raise ValueError(f"count_low, count and count_high must rise; count is {self.count}")
        if self.in_ and self.out and self.in_ >= self.out:
            raise ValueError(
                f"comes in on {self.in_} but goes out on {self.out}: the dates are the wrong way round"
            )
        return self


class Pen(Part):
    """A bedded pen."""

    id: Name = ""
    area: Area | None = None
    roof: Literal["roofed", "part_roofed", "open"] | None = None
    roofed_share: ShareOf | None = None
    floor: Literal["concrete", "earth"] | None = None
    passage: Literal["none", "scraped"] | None = None
    gate_height: Length | None = None
    drinker_height: Length | None = None
    headroom: Length | None = None
    rain: Annotated[Measure, _in("kg/m2/day", 0, 50)] | None = Field(
        None, description="rain a day on unroofed floor; one millimetre is 1 kg/m2"
    )


class Supply(Part):
    """A material on hand or for sale."""

    name: str
    amount: Kg | None = Field(None, description="on hand, by weight")
    packs: Annotated[float, Field(ge=0, le=1e6)] | None = Field(
        None, description="on hand, in bales, bags or loads"
    )
    pack: str | None = Field(None, description="kind of bale, bag or load, as in the knowledge base")
    pack_mass: Annotated[Measure, _in("kg", 0.1, 50000)] | None = None
    volume: Annotated[Measure, _in("m3", 0, 1e6)] | None = Field(None, description="on hand, loose volume")
    price: Money | None = Field(None, description="per tonne")
    for_sale: bool | None = None
    most_to_buy: Kg | None = None
    from_date: Day | None = Field(None, description="first day it can be had")
    stored_outdoors: bool | None = None
    bedding: bool = Field(True, description="false: kept for the heap or for feed, not for the bed")
    moisture: ShareOf | None = None
    carbon: ShareOf | None = None
    nitrogen: ShareOf | None = None
    c_to_n: Annotated[Measure, _in("fraction", 1, 2000)] | None = None
    absorbency: Annotated[Measure, _in("kg/kg", 0, 20)] | None = None
    density_laid: Annotated[Measure, _in("kg/m3", 5, 1500)] | None = None


class Base(Part):
    """The layer laid before the animals come in."""

    depth: Annotated[Measure, _in("m", 0, 2)] | None = None
    material: str | None = None
    mass: Kg | None = None


class Addition(Part):
    """Bedding as the keeper means to add it, or did."""

    material: str
    rate: KgDay = Field(description="kg a day, all pens of this line together")
    pen: str = ""
    from_: Day | None = Field(None, alias="from")
    to: Day | None = None


class Turning(Part):
    """Who or what turns the pack in spring."""

    by: Literal["pigs", "hens", "fork", "tractor", "nothing"] | None = None
    grain: bool | None = None
    grain_material: str | None = None
    pigs: int | None = Field(None, ge=0, le=10000)
    pig_weight: Annotated[Measure, _in("kg/head", 5, 400)] | None = None
    allowed: bool | None = Field(
        None, description="the veterinary authority has agreed to pigs on this manure"
    )
    nose_ringed: bool | None = None
    start: Day | None = None


class Goals(Part):
    """Where the keeper wants to end."""

    c_to_n_low: float | None = Field(None, ge=5, le=100)
    c_to_n_high: float | None = Field(None, ge=5, le=150)

    @model_validator(mode="after")
    def _low_below_high(self) -> Goals:
        if self.c_to_n_low and self.c_to_n_high and self.c_to_n_low > self.c_to_n_high:
            raise ValueError(f"c_to_n_low is {self.c_to_n_low:g}, above c_to_n_high, {self.c_to_n_high:g}")
        return self


class Land(Part):
    """Where the compost will go."""

    use: Literal["grass", "arable", "vegetables", "garden", "trees", "sale"] | None = None
    crop: str | None = None
    area: Annotated[Measure, _in("m2", 1, 1e9)] | None = None


class Prices(Part):
    """Money, all in one currency named by the keeper."""

    currency: Name = ""
    nitrogen: Money | None = Field(None, description="per kg N")
    phosphate: Money | None = Field(None, description="per kg P2O5")
    potash: Money | None = Field(None, description="per kg K2O")
    hour: Money | None = None
    grain: Money | None = Field(None, description="per tonne")


class Farm(Part):
    """Everything a keeper can tell, in a file or in a conversation."""

    schema_version: Literal[1] = 1
    name: Name = ""
    note: str = ""
    region: str | None = None
    units: Literal["metric", "us"] | None = None
    start: Day | None = None
    end: Day | None = None
    days: int | None = Field(None, ge=1, le=730)
    climate: Literal["mild", "cool", "cold", "very_cold"] | None = None
    temperature: Annotated[Measure, _in("degC", -50, 45)] | dict[int, float] | None = Field(
        None, description="mean outdoor temperature of the winter, or one for each month number"
    )
    management: Literal["static", "stirred", "hens"] | None = None
    groups: tuple[Group, ...] = Field(min_length=1)
    pens: tuple[Pen, ...] = ()
    materials: tuple[Supply, ...] = ()
    base: Base | None = None
    bedding: Literal["advise"] | tuple[Addition, ...] = "advise"
    turning: Turning | None = None
    shares_pack: tuple[str, ...] | None = None
    goals: Goals | None = None
    land: Land | None = None
    prices: Prices | None = None
    facts: dict[str, str | float | bool | Measure] = Field(
        default_factory=dict,
        description="any other fact of the vocabulary, or a figure known better here, by name",
    )

    @model_validator(mode="after")
    def _months(self) -> Farm:
        if isinstance(self.temperature, dict):
            if not self.temperature or not self.temperature.keys() <= set(range(1, 13)):
                raise ValueError("temperature by month needs months from 1 to 12, such as {11: 6, 12: 3}")
            for month, degrees in self.temperature.items():
                if not -50 <= degrees <= 45:
                    raise ValueError(f"temperature of month {month} is {degrees:g}: from -50 to 45 degC")
        return self

    @model_validator(mode="after")
    def _period(self) -> Farm:
        if self.start and self.end:
            if self.start >= self.end:
                raise ValueError(
                    f"the season starts on {self.start} and ends on {self.end}: the dates are the wrong way round"
                )
            told = (self.end - self.start).days
            if told > 730:
                raise ValueError(f"the season is {told} days long; at most 730")
            if self.days and abs(self.days - told) > 1:
                raise ValueError(f"days is {self.days}, but from {self.start} to {self.end} are {told} days")
        return self
