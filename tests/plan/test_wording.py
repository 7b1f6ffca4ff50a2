"""Amounts in words."""

from __future__ import annotations

import datetime as dt
import doctest
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import advisor.plan.wording as wording
from advisor.plan.wording import say, say_about, say_date, say_number, say_range, shown_unit
from advisor.units import convert


def test_examples_in_the_docstrings() -> None:
    assert doctest.testmod(wording).failed == 0


@pytest.mark.parametrize(
    ("value", "unit", "metric", "us"),
    [
        (9234.0, "kg", "9.2 t", "10 short tons"),
        (907.18474, "kg", "910 kg", "1 short ton"),
        (999.0, "kg", "1 t", "1.1 short tons"),
        (240.0, "kg", "240 kg", "530 lb"),
        (0.25, "kg", "250 g", "8.8 oz"),
        (14.9, "t/ha", "15 t a hectare", "6.6 short tons an acre"),
        (170.0, "kg/ha", "170 kg a hectare", "150 lb an acre"),
        (5.6, "kg/t", "5.6 kg a tonne", "11 lb a short ton"),
        (3.97, "mm/day", "4 mm a day", "0.16 in a day"),
        (0.97, "m", "97 cm", "3.2 ft"),
        (1.21, "m", "1.2 m", "4 ft"),
        (0.2, "m", "20 cm", "7.9 in"),
        (108.0, "m2", "110 m²", "1,200 ft²"),
        (6.0, "m2/head", "6 m² a head", "65 ft² a head"),
        (2.3, "ha", "2.3 ha", "5.7 acres"),
        (104.0, "m3", "100 m³", "140 cu yd"),
        (1224.0, "m3/h", "1,200 m³ an hour", "720 cu ft a minute"),
        (1.0, "day", "1 day", "1 day"),
        (23.4, "h/day", "23 hours a day", "23 hours a day"),
        (0.7143, "fraction", "71 %", "71 %"),
        (-5.0, "degC", "-5 °C", "23 °F"),
        (1.8, "ppm", "1.8 ppm", "1.8 ppm"),
        (60.0, "bale", "60 bales", "60 bales"),
        (0.0, "kg", "0 kg", "0 lb"),
        (12.6, "", "13", "13"),
    ],
)
def test_amounts(value: float, unit: str, metric: str, us: str) -> None:
    assert (say(value, unit), say(value, unit, "us")) == (metric, us)


@pytest.mark.parametrize(
    ("low", "value", "high", "unit", "expected"),
    [
        (24810.0, 26070.0, 27690.0, "kg", "about 26 t; 25 to 28 t"),
        (131.6, 131.6, 131.7, "kg/day", "about 130 kg a day"),
        (0.0, 0.0, 19910.0, "kg", "about 0 t; 0 to 20 t"),
        (0.797, 0.967, 1.157, "m", "about 97 cm; 80 to 120 cm"),
        (16.81, 20.32, 23.99, "c_to_n", "about 20:1; 17 to 24"),
        (0.66, 0.71, 0.75, "fraction", "about 71 %; 66 to 75 %"),
    ],
)
def test_ranges_stand_in_one_unit(low: float, value: float, high: float, unit: str, expected: str) -> None:
    assert say_range(low, value, high, unit) == expected


def test_words_around_numbers() -> None:
    assert say_about(9000, "kg") == "about 9 t"
    assert say_number(108.0, 3) == "108"
    assert shown_unit("pack_end_c_to_n", "fraction") == "c_to_n"
    assert shown_unit("space_ratio", "fraction") == "fraction"
    assert say_date(dt.date(2026, 11, 3), "us") == "November 3, 2026"
    assert say_date(dt.date(2026, 11, 3), year=False) == "3 November"


# Shown word -> the unit library's name for it; the library holds the same definitions in units.txt.
_LIBRARY = {
    "t": "t", "kg": "kg", "g": "g", "short tons": "short_ton", "short ton": "short_ton", "lb": "lb", "oz": "oz",
    "m": "m", "cm": "cm", "mm": "mm", "ft": "ft", "in": "inch", "m²": "m2", "ft²": "ft2", "m³": "m3",
    "cu yd": "yd3", "cu ft": "ft3", "ha": "ha", "acre": "acre", "acres": "acre", "°C": "degC", "°F": "degF",
    "litre": "litre", "litres": "litre",
}  # fmt: skip


@settings(deadline=None)  # the first example loads the unit library
@given(
    st.floats(0.001, 1e7),
    st.sampled_from(["kg", "m", "m2", "m3", "degC", "ha"]),
    st.sampled_from(["metric", "us"]),
)
def test_saying_agrees_with_the_unit_library(value: float, unit: str, units: wording.Units) -> None:
    text = say(value, unit, units, figures=9)
    match = re.fullmatch(r"([-\d.,]+) (.+)", text)
    assert match is not None
    back = convert(float(match[1].replace(",", "")), _LIBRARY[match[2]], unit)
    assert back == pytest.approx(value, rel=1e-6, abs=1e-6)
