"""The weather on a bed: warmth day by day, rain that falls in, and what they do to drying and to ammonia."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers
from advisor.season.timeline import Timeline

__all__ = ["Weather"]

Value = Numbers | float


@dataclass(frozen=True)
class Weather:
    """Outdoor temperature of each day [degC]; numbers or arrays over draws, shared between like days."""

    by_day: tuple[Value, ...]


@derive("farm", "", "outdoor temperature day by day")
def weather(timeline: Timeline, winter_temperature: Value | dict[int, float]) -> Weather:
    """The told or assumed temperature of each day's month."""
    if isinstance(winter_temperature, dict):
        mean = sum(winter_temperature.values()) / len(winter_temperature)
        return Weather(
            tuple(winter_temperature.get(timeline.date(d).month, mean) for d in range(timeline.days))
        )
    return Weather((winter_temperature,) * timeline.days)


@derive("farm", "degC", "mean outdoor temperature of the winter", "by climate class")
def winter_temperature(mean_winter_temperature: Value) -> Value:
    """The figure for the climate class. [degC]"""
    return mean_winter_temperature


@derive("pen", "kg/m2/day", "rain that falls on the bed", "spread over the whole bedded floor")
def rain_on_bed(roof: str, roofed_share: Value, winter_rain: Value) -> Value:
    """Rain a day times the share of the floor without a roof. [kg/m2/day]"""
    if roof == "roofed":
        return 0.0
    return winter_rain if roof == "open" else winter_rain * (1.0 - roofed_share)


@derive("pen", "fraction", "roofed share of a part-roofed pen")
def roofed_share(part_roof_share: Value) -> Value:
    """The usual share, as none was told."""
    return part_roof_share


@derive("pen", "", "evaporation day by day")
def evaporation_by_day(
    weather: Weather, evaporation_at_minus5: Value, evaporation_at_5: Value, evaporation_at_15: Value
) -> list[Value]:
    """Straight lines between the figures at -5, 5 and 15 degC, held at the ends. [kg/m2/day]"""

    def rate(temperature: Value) -> Value:
        cold = np.clip((np.asarray(temperature) + 5.0) / 10.0, 0.0, 1.0)
        warm = np.clip((np.asarray(temperature) - 5.0) / 10.0, 0.0, 1.0)
        low = evaporation_at_minus5 + (evaporation_at_5 - evaporation_at_minus5) * cold
        return low + (evaporation_at_15 - evaporation_at_5) * warm

    return _by_day(weather, rate)


@derive("pen", "", "how the day's warmth moves the ammonia", "more with each degree, as measured over manure")
def ammonia_warmth_by_day(
    weather: Weather, ammonia_per_degree: Value, ammonia_outdoor_temperature: Value
) -> list[Value]:
    """exp(effect x degrees above the temperature that the shares stand for); frost below -10 degC counts as
    that, heat above 30 degC likewise: a bed with animals on it is neither. [fraction]
    """

    def factor(temperature: Value) -> Value:
        above = np.clip(temperature, -10.0, 30.0) - ammonia_outdoor_temperature
        grown: Value = np.exp(ammonia_per_degree * above)
        return grown

    return _by_day(weather, factor)


def _by_day(weather: Weather, formula: Callable[[Value], Value]) -> list[Value]:
    """A formula of each day's temperature; days that share a temperature share the answer."""
    worked: dict[float, Value] = {}
    out: list[Value] = []
    for temperature in weather.by_day:
        # Not its hash: -1 and -2 share theirs.
        key = id(temperature) if isinstance(temperature, np.ndarray) else temperature
        if key not in worked:
            worked[key] = formula(temperature)
        out.append(worked[key])
    return out
