"""Amounts in words, as people say them: two significant figures, a unit of fitting size, metric or US.

The words stand in knowledge/phrases/wording.yaml. The conversions are definitions (the international
pound and foot), held here so that a turn of talk need not load the unit library; a test compares the two.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from advisor.plan.writing import date_text, month_name, number_text

__all__ = ["Units", "say", "say_about", "say_date", "say_number", "say_range", "shown_unit"]

Units = Literal["metric", "us"]

_LB_KG = 0.45359237
_FT_M = 0.3048
_ACRE_HA = 0.40468564224
_SHORT_TON_T = 2000 * _LB_KG / 1000
_FT2_M2 = _FT_M**2
_YD3_M3 = (3 * _FT_M) ** 3


@dataclass(frozen=True)
class Scale:
    """A unit to show: how many of it make one of the unit inside, and from what amount on it is used."""

    word: str
    factor: float
    least: float = 0.0
    offset: float = 0.0


_Scales = Mapping[str, tuple[Scale, ...]]

# Largest first; the first whose amount reaches `least` is used.
_METRIC: _Scales = {
    "kg": (Scale("t", 1e-3, 1), Scale("kg", 1, 1), Scale("g", 1e3)),
    "m": (Scale("m", 1, 1), Scale("cm", 1e2, 1), Scale("mm", 1e3)),
    "m2": (Scale("ha", 1e-4, 1), Scale("m2", 1)),
    "ha": (Scale("ha", 1, 0.1), Scale("m2", 1e4)),
    "m3": (Scale("m3", 1, 0.5), Scale("litre", 1e3)),
    "degC": (Scale("degC", 1),),
    "L": (Scale("litre", 1),),
}
_US: _Scales = {
    "kg": (
        Scale("short_ton", 1e-3 / _SHORT_TON_T, 1),
        Scale("lb", 1 / _LB_KG, 1),
        Scale("oz", 16 / _LB_KG),
    ),
    "m": (Scale("ft", 1 / _FT_M, 2), Scale("in", 12 / _FT_M)),
    "m2": (Scale("acre", 1e-4 / _ACRE_HA, 1), Scale("ft2", 1 / _FT2_M2)),
    "ha": (Scale("acre", 1 / _ACRE_HA, 0.1), Scale("ft2", 1e4 / _FT2_M2)),
    "m3": (Scale("yd3", 1 / _YD3_M3, 0.5), Scale("ft3", 27 / _YD3_M3)),
    "m3/h": (Scale("cfm", 27 / _YD3_M3 / 60),),
    "degC": (Scale("degF", 1.8, 0, 32.0),),
    "L": (Scale("gallon", 1 / 3.785411784),),
}
_BOTH: _Scales = {
    "fraction": (Scale("percent", 1e2),),
    "c_to_n": (Scale("ratio", 1),),
    "h": (Scale("hour", 1, 1), Scale("minute", 60)),
}
_ALIKE = {"t": ("kg", 1e3), "g": ("kg", 1e-3), "cm": ("m", 1e-2), "mm": ("m", 1e-3)}
_PER: dict[Units, Mapping[str, tuple[str, float]]] = {
    "metric": {"h": ("hour", 1)},
    "us": {
        "h": ("hour", 1),
        "ha": ("acre", _ACRE_HA),
        "t": ("short_ton", _SHORT_TON_T),
        "kg": ("lb", _LB_KG),
        "m2": ("ft2", _FT2_M2),
        "m3": ("yd3", _YD3_M3),
    },
}


def say(value: float, unit: str, units: Units = "metric", figures: int = 2) -> str:
    """An amount with its unit.

    >>> say(9234, "kg"), say(0.31, "m"), say(0.7143, "fraction"), say(20.3, "c_to_n")
    ('9.2 t', '31 cm', '71 %', '20:1')
    >>> say(600, "kg/head", "us"), say(130, "kg/day", "us"), say(50, "degC", "us")
    ('1,300 lb a head', '290 lb a day', '120 °F')
    """
    scale, per = _scale(unit, units, value)
    return _with_unit(_number(value, scale, per, figures), scale, unit, units)


def say_about(value: float, unit: str, units: Units = "metric") -> str:
    """An amount with 'about' before it."""
    return str(_words()["about"]).format(value=say(value, unit, units))


def say_range(low: float, value: float, high: float, unit: str, units: Units = "metric") -> str:
    """A typical amount with its likely range, all in one unit.

    >>> say_range(7100, 9234, 12300, "kg"), say_range(16.8, 20.3, 24.0, "c_to_n")
    ('about 9.2 t; 7.1 to 12 t', 'about 20:1; 17 to 24')
    >>> say_range(96, 96, 96, "m2")
    '96 m²'
    """
    if low == high:
        return say(value, unit, units)
    scale, per = _scale(unit, units, value or high or low)
    a, b, c = (_number(each, scale, per, 2) for each in (low, value, high))
    middle = _with_unit(b, scale, unit, units)
    if a == c:
        return str(_words()["about"]).format(value=middle)
    end = c if scale.word == "ratio" else _with_unit(c, scale, unit, units)
    return str(_words()["range"]).format(value=middle, low=a, high=end)


def say_number(value: float, figures: int = 2) -> str:
    """A bare number to so many significant figures.

    >>> say_number(1234.5), say_number(0.0)
    ('1,200', '0')
    """
    text = number_text(_rounded(value, figures))
    whole = text.lstrip("-").partition(".")[0]
    if len(whole) == 4 and "," not in whole:
        text = text.replace(whole, f"{whole[0]},{whole[1:]}", 1)
    return text


def say_date(date: dt.date, units: Units = "metric", year: bool = True) -> str:
    """A date in words.

    >>> say_date(dt.date(2026, 11, 3)), say_date(dt.date(2026, 11, 3), "us", year=False)
    ('3 November 2026', 'November 3')
    """
    if year:
        return date_text(date, units)
    month = month_name(date)
    return f"{month} {date.day}" if units == "us" else f"{date.day} {month}"


def shown_unit(name: str, unit: str) -> str:
    """The unit to say a quantity in: a carbon to nitrogen ratio is held as a fraction but is no percentage."""
    return "c_to_n" if "c_to_n" in name and unit == "fraction" else unit


def _scale(unit: str, units: Units, value: float) -> tuple[Scale, float]:
    """The scale that fits a value, and what the 'per' part of its unit multiplies it by."""
    top, _, bottom = unit.partition("/")
    own = _METRIC if units == "metric" else _US
    if unit in own:
        return own[unit][0] if len(own[unit]) == 1 else _fitting(own[unit], value), 1.0
    per = _PER[units].get(bottom, (bottom, 1.0))[1] if bottom else 1.0
    top, more = _ALIKE.get(top, (top, 1.0))
    scales = own.get(top) or _BOTH.get(top) or (Scale(top, 1),)
    return _fitting(scales, value * more * per), more * per


def _fitting(scales: tuple[Scale, ...], value: float) -> Scale:
    if value == 0:
        return next((scale for scale in scales if scale.factor >= 1), scales[-1])
    for scale in scales:
        if abs(_rounded(value * scale.factor, 2)) >= scale.least:
            return scale
    return scales[-1]


def _number(value: float, scale: Scale, per: float, figures: int) -> str:
    return say_number(value * per * scale.factor + scale.offset, figures)


def _rounded(value: float, figures: int) -> float:
    """A value to so many significant figures."""
    if not math.isfinite(value) or value == 0:
        return value
    return round(value, figures - 1 - math.floor(math.log10(abs(value))))


def _with_unit(number: str, scale: Scale, unit: str, units: Units) -> str:
    words = _words()
    word = words["units"].get(scale.word, scale.word)
    if isinstance(word, list):
        word = word[0] if number == "1" else word[1]
    text = f"{number}{word}" if scale.word == "ratio" else f"{number} {word}".rstrip()
    _, _, bottom = unit.partition("/")
    if bottom and unit not in (_METRIC if units == "metric" else _US):
        shown = _PER[units].get(bottom, (bottom, 1.0))[0]
        text += f" {words['per'].get(shown, shown)}"
    return text


@cache
def _words() -> Mapping[str, Any]:
    from advisor.knowledge.base import plain_data

    words: Mapping[str, Any] = plain_data("phrases/wording.yaml")
    return words
