"""Moist air against psychrolib and against published tables and worked examples."""

from __future__ import annotations

import datetime as dt
import importlib
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.farm.model import Farm
from advisor.knowledge import knowledge
from advisor.plan.make import Plan, make_plan
from advisor.science import air
from advisor.season.weather import Weather

psychrolib: Any = importlib.import_module("psychrolib")  # ships no types
psychrolib.SetUnitSystem(psychrolib.SI)

NAMES = ("minus25", "minus20", "minus15", "minus10", "minus5", "0", "5", "10", "15", "20", "30", "40")


def figure(name: str) -> float:
    entry = knowledge().figures[name]
    assert entry.figure is not None
    return entry.figure.to(entry.si).value


def table() -> tuple[tuple[float, ...], tuple[float, ...]]:
    degrees, full = air.full_air_table(*(figure(f"air_moisture_full_{name}") for name in NAMES))
    return degrees, tuple(float(value) for value in full)


def full(celsius: float) -> float:
    return float(air.full_air_kg_m3(celsius, *table()))


def independent(celsius: float) -> float:
    """Water in a cubic metre of saturated air by psychrolib (ASHRAE formulas). [kg/m3]"""
    ratio = psychrolib.GetHumRatioFromRelHum(celsius, 1.0, 101325.0)
    return float(ratio / psychrolib.GetMoistAirVolume(celsius, ratio, 101325.0))


@given(st.floats(0.0, 40.0))
def test_full_air_agrees_with_psychrolib_above_freezing(celsius: float) -> None:
    assert full(celsius) == pytest.approx(independent(celsius), rel=0.02)


@given(st.floats(-25.0, 0.0))
def test_full_air_agrees_with_psychrolib_below_freezing(celsius: float) -> None:
    # the printed table stands for water, psychrolib for ice: up to a fifth apart at minus 20
    assert independent(celsius) * 0.98 <= full(celsius) <= independent(celsius) * 1.21


@given(st.floats(-40.0, 50.0), st.floats(-40.0, 50.0))
def test_warmer_air_holds_more(one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    assert full(cold) <= full(warm)


# engineering table of saturated air, the rows of the reference
@pytest.mark.parametrize(("celsius", "grams"), [(-25, 0.64), (-10, 2.31), (0, 4.89), (10, 9.39), (30, 30.4)])
def test_tabled_rows_come_back(celsius: float, grams: float) -> None:
    assert full(celsius) * 1000 == pytest.approx(grams, rel=1e-6)


def test_canada_plan_service_example() -> None:
    # CPS leaflet: at 15 degC and 75 % the air holds 8 g a kg; a kg of it fills 0.82 m3
    assert 0.75 * full(15.0) * 0.82 * 1000 == pytest.approx(8.0, rel=0.03)


def carries(**told: float) -> float:
    given_ = {
        "indoor_temperature": 5.0,
        "weather": Weather((0.0,)),
        "full_air_table": table(),
        "air_humidity_most": 0.8,
        "air_humidity_outdoors": 0.9,
        "air_carries_least": 0.0003,
    }
    arguments: dict[str, Any] = {**given_, **told}
    return float(air.air_carries_kg_m3(**arguments))


def test_worked_moisture_balance() -> None:
    # reference example: 10 cows breathing out 17 L a day; 0 degC and 90 % outdoors, 5 degC and 80 % inside
    rate = 10 * 17 / 24 / carries()
    assert rate == pytest.approx(6700, rel=0.03)


def test_a_barn_no_warmer_than_outdoors_carries_the_least() -> None:
    assert carries(indoor_temperature=0.0) == 0.0003


@given(st.floats(-20.0, 15.0), st.floats(0.0, 10.0), st.floats(0.0, 10.0))
def test_a_warmer_shed_needs_less_air(outdoors: float, one: float, other: float) -> None:
    less, more = sorted((one, other))
    weather: Any = Weather((outdoors,))
    assert carries(weather=weather, indoor_temperature=outdoors + less) <= carries(
        weather=weather, indoor_temperature=outdoors + more
    )


def plan(groups: list[dict[str, Any]], **more: Any) -> Plan:
    farm = Farm.model_validate({"temperature": 0, "days": 60, "groups": groups, **more})
    return make_plan(farm, knowledge(), dt.date(2026, 11, 1), draws=100)


def typical(found: Plan, name: str) -> float:
    node = found.results[name]
    assert node is not None
    return float(np.atleast_1d(node.value)[0])


def test_dairy_cows_give_off_as_much_water_as_published() -> None:
    # Ohio State: a mature dairy cow breathes out 15 to 19 litres a day
    found = plan([{"class": "dairy_cow", "count": 1}])
    litres = 24 * float(np.atleast_1d(found.engine.value("vapour_kg_h"))[0])
    assert 15 <= litres <= 19


def test_openings_of_cows_and_ewes() -> None:
    # CAFRE: 0.1 m2 of outlet for cattle over 500 kg, 0.04 for a young calf; adviser: 4 m2 for 100 ewes;
    # inlets at least twice the outlet
    for group, outlet in (
        ({"class": "beef_cow", "count": 10, "weight": 600}, 1.0),
        ({"class": "dairy_calf", "count": 10, "weight": 60}, 0.4),
        ({"class": "ewe", "count": 100}, 4.0),
    ):
        found = plan([group])
        assert typical(found, "outlet_area_m2") == pytest.approx(outlet)
        assert typical(found, "inlet_area_m2") >= 2 * outlet * 0.999


def test_small_stock_need_small_openings() -> None:
    assert typical(plan([{"class": "laying_hen", "count": 50}]), "outlet_area_m2") < 0.1


def test_ridge_slot_of_a_twelve_metre_barn() -> None:
    # rule of thumb, 5 cm of slot for 3 m of width: 20 cm for 12 m
    found = plan([{"class": "ewe", "count": 100}], facts={"building_width_m": 12.0})
    assert typical(found, "ridge_slot_m") == pytest.approx(0.20, rel=0.01)
    assert plan([{"class": "ewe", "count": 100}]).results["ridge_slot_m"] is None


def test_months_of_different_cold_are_averaged() -> None:
    found = plan([{"class": "ewe", "count": 10}], temperature={11: 0.0, 12: -6.0}, start="2026-11-01")
    assert typical_value(found, "indoor_temperature") == pytest.approx(
        (30 * 0.0 + 30 * -6.0) / 60 + figure("cold_barn_warmth")
    )


def typical_value(found: Plan, name: str) -> float:
    return float(np.atleast_1d(found.engine.value(name))[0])
