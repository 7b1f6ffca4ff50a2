"""Units at the edges, against the definitions of the international yard and pound agreement (1959)."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.units import UnitError, convert, parse_quantity, same_dimension


@pytest.mark.parametrize(
    ("text", "to", "expected"),
    [
        ("8 m x 12 m", "m2", 96.0),
        ("8 by 12 m", "m2", 96.0),
        ("8 x 12 m", "m2", 96.0),
        ("26 ft x 40 ft", "m2", 26 * 0.3048 * 40 * 0.3048),
        ("1300 lb", "kg", 1300 * 0.45359237),
        ("2 short_ton", "kg", 2 * 2000 * 0.45359237),
        ("1 long_ton", "kg", 2240 * 0.45359237),
        ("3 cwt", "kg", 3 * 112 * 0.45359237),
        (
            "30 lb/yd3",
            "kg/m3",
            30 * 0.45359237 / 0.9144**3,
        ),  # 17.8 kg/m3, not 15: common practice mixes them up
        ("14 %", "fraction", 0.14),
        ("40 degF", "degC", 40 / 9 * 5 - 160 / 9),
        ("1 acre", "m2", 4046.8564224),
        ("240 L/day", "m3/day", 0.24),
        ("7", "m", 7.0),
    ],
)
def test_reads_amounts(text: str, to: str, expected: float) -> None:
    assert parse_quantity(text, to) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("text", ["", "x", "5 parsecs", "5 kg", "5 m2 6", "nan m2", "1e999 m2 x"])
def test_refuses_what_is_no_area(text: str) -> None:
    with pytest.raises(UnitError):
        parse_quantity(text, "m2")


@given(st.floats(-1e6, 1e6), st.sampled_from([("kg", "lb"), ("m2", "ft2"), ("degC", "degF"), ("m3", "yd3")]))
def test_there_and_back(value: float, pair: tuple[str, str]) -> None:
    assert convert(convert(value, *pair), pair[1], pair[0]) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.text(max_size=30))
def test_nothing_but_a_unit_error_escapes(text: str) -> None:
    with contextlib.suppress(UnitError):
        parse_quantity(text, "kg")


def test_knows_what_measures_the_same() -> None:
    assert same_dimension("kg/day", "lb/week")
    assert not same_dimension("kg", "m")
