"""Units at the edges: text and other people's units in, plain SI floats out.

Inside, everything is kg, m, day, degC and fractions of 1. Pint is imported on first use only,
so that starting the program does not pay for it.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint

__all__ = ["UnitError", "convert", "parse_quantity", "same_dimension"]

_NAMES = {
    "m2": "m**2",
    "m3": "m**3",
    "ft2": "ft**2",
    "ft3": "ft**3",
    "yd2": "yd**2",
    "yd3": "yd**3",
    "in3": "inch**3",
}


class UnitError(ValueError):
    """A unit that is not known, or that measures something else than was asked for."""


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry(str(Path(__file__).with_name("units.txt")), autoconvert_offset_to_baseunit=True)


@cache
def _unit(text: str) -> pint.Unit:
    import pint

    spelled = text.strip().replace("%", "percent").replace("°C", "degC").replace("°F", "degF")
    for short, long in _NAMES.items():
        spelled = spelled.replace(short, long)
    if spelled in ("", "1", "fraction"):
        spelled = "fraction"
    try:
        return _registry().Unit(spelled)
    except (pint.errors.PintError, AttributeError, TypeError, ValueError, AssertionError) as fault:
        raise UnitError(f"unknown unit '{text}'") from fault
    except Exception as fault:  # pint's own tokenizer raises bare errors on odd text
        raise UnitError(f"unknown unit '{text}'") from fault


def same_dimension(unit: str, other: str) -> bool:
    """Whether two units measure the same kind of thing. Raises UnitError on an unknown one."""
    return bool(_unit(unit).dimensionality == _unit(other).dimensionality)


@cache
def _linear(unit: str, to: str) -> tuple[float, float]:
    """(factor, offset) with to = factor * from + offset; every unit here is linear."""
    a, b = _unit(unit), _unit(to)
    if a.dimensionality != b.dimensionality:
        raise UnitError(f"'{unit}' cannot be given in '{to}': they measure different things")
    q = _registry().Quantity
    zero, one = (float(q(x, a).to(b).magnitude) for x in (0.0, 1.0))
    return one - zero, zero


def convert(value: float, unit: str, to: str) -> float:
    """The value in another unit. Raises UnitError where the two measure different things."""
    if unit == to:
        return value
    factor, offset = _linear(unit, to)
    return value * factor + offset


def parse_quantity(text: str, to: str) -> float:
    """Read '8 m x 12 m', '96 m2', '30 cm' or '1300 lb' into the unit `to`; a bare number is in `to`.

    Raises UnitError with what was wrong in plain words.
    """
    import re

    total, unit_text = 1.0, ""
    parts = re.split(r"\s*(?:[x×*]|\bby\b)\s*", text.strip())
    for part in parts:
        match = re.fullmatch(r"([-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?)\s*(.*)", part)
        if not match:
            raise UnitError(f"'{text}' is not a number with a unit, like '96 m2' or '8 m x 12 m'")
        total *= float(match[1])
        if match[2]:
            unit_text = f"({unit_text})*({match[2]})" if unit_text else match[2]
    if not unit_text:
        return total
    if len(parts) > 1 and len(re.findall(r"\(", unit_text)) == 0:
        unit_text = "*".join([f"({unit_text})"] * len(parts))
    return convert(total, unit_text, to)
