"""A whole season of one pen: the sums over all days, and the lay-out of the answer."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.season.simulate import HeadFlow, PackRun, PenSeason, simulate
from advisor.season.step import (
    ASH,
    CARBON_QUICK,
    CARBON_SLOW,
    COMPONENTS,
    NITROGEN,
    PHOSPHORUS,
    POTASSIUM,
    TAN,
    WATER,
    State,
    moisture,
)
from tests.season.layers import DUNG, STRAW, parameters

COW = HeadFlow(DUNG.kg(40.0), float(DUNG.kg(40.0)[NITROGEN, 0]), float(DUNG.kg(40.0)[TAN, 0]))


def season(heads: float = 6.0, straw: float = 50.0, days: int = 20, **changes: Any) -> PenSeason:
    plain = PenSeason(
        heads=np.full((1, days), heads),
        head_flows=(COW,),
        bedding_kg_day=np.full((1, days), straw),
        bedding_per_kg=(STRAW.kg(1.0),),
        locks_nitrogen=(True,),
        base=STRAW.kg(1200.0),
        base_depth_m=0.3,
        evaporation_kg_m2=[1.0] * days,
        rain_kg_m2=0.0,
        parameters=parameters(),
        solids_density_kg_m3=1500.0,
        water_density_kg_m3=1000.0,
        air_share=0.15,
        base_air_share=0.95,
        base_trodden_per_day=0.1,
    )
    return replace(plain, **changes)


@settings(max_examples=30)
@given(heads=st.floats(0, 20), straw=st.floats(0, 200), rain=st.floats(0, 5), days=st.integers(1, 25))
def test_the_season_s_books_balance(heads: float, straw: float, rain: float, days: int) -> None:
    pen = season(heads, straw, days, rain_kg_m2=rain)
    run = simulate(pen, 1)
    brought = pen.base + days * (heads * COW.components + straw * STRAW.kg(1.0))
    end = run.end.whole
    near = 1e-8 * (1.0 + brought.sum())
    for kept in (ASH, PHOSPHORUS):
        assert end[kept] == pytest.approx(brought[kept], abs=near)
    assert end[POTASSIUM] + run.potassium_drained_kg == pytest.approx(brought[POTASSIUM], abs=near)
    water = end[WATER] + run.evaporated_kg + run.drained_kg.sum(axis=0)
    assert water == pytest.approx(brought[WATER] + rain * 50.0 * days, abs=near)
    assert end[NITROGEN] + run.nitrogen_lost_kg == pytest.approx(brought[NITROGEN], abs=near)
    carbon = end[CARBON_QUICK] + end[CARBON_SLOW]
    assert carbon + run.carbon_lost_kg == pytest.approx(run.carbon_in_kg, abs=near)
    assert run.carbon_in_kg == pytest.approx(brought[CARBON_QUICK] + brought[CARBON_SLOW], abs=near)
    assert run.excreted_nitrogen_kg == pytest.approx([heads * COW.nitrogen * days], abs=near)
    assert (run.ammonia_kg.sum(axis=0) <= run.nitrogen_lost_kg + near).all()


def test_rows_are_days_and_the_first_is_before_they_came_in() -> None:
    pen = season()
    run = simulate(pen, 1, keep_states=True)
    assert run.mass_kg.shape == (21, 1)
    assert run.mass_kg[0] == pytest.approx(1200.0)
    assert run.depth_m[0] * 50.0 == pytest.approx(
        run.states[0].whole[ASH:4].sum() / 1500 / 0.05 + run.states[0].whole[WATER, 0] / 1000 / 0.05
    )
    assert run.depth_m[-1] * 50.0 == pytest.approx(run.volume_end_m3)
    assert len(run.states) == 21
    for state, top in zip(run.states, run.top_moisture, strict=True):
        assert moisture(state.top) == pytest.approx(top)
    assert simulate(pen, 1).states == []


def test_a_pack_already_there_goes_on_from_where_it_was() -> None:
    whole = simulate(season(days=20), 1)
    half = simulate(season(days=10), 1)
    rest = simulate(season(days=10, first=half.end), 1)
    assert rest.end.whole == pytest.approx(whole.end.whole, rel=1e-12)


def test_days_alike_in_all_but_one_thing_are_not_mixed_up() -> None:
    pen = season(days=6)
    windy = [1.0, 2.0, 1.0, 2.0, 3.0, 1.0]
    pen.heads[0] = [6, 6, 5, 6, 0, 6]
    pen.bedding_kg_day[0] = [50, 50, 50, 0, 50, 50]
    together = simulate(replace(pen, evaporation_kg_m2=windy), 1)
    state: State | None = None
    for day, wind in enumerate(windy):
        one = season(
            float(pen.heads[0, day]),
            float(pen.bedding_kg_day[0, day]),
            1,
            first=state,
            evaporation_kg_m2=[wind],
        )
        state = simulate(one, 1).end
    assert state is not None
    assert together.end.whole == pytest.approx(state.whole, rel=1e-12)


def test_draws_wide_weather_and_counts() -> None:
    """Each column of a run over draws is the run of that draw alone."""
    factors, winds = np.array([1.0, 0.8, 1.3]), np.array([1.0, 0.5, 2.0])
    wide = HeadFlow(np.repeat(COW.components, 3, axis=1), np.full(3, COW.nitrogen), np.full(3, COW.tan))
    pen = season(
        head_flows=(wide,), bedding_per_kg=(np.repeat(STRAW.kg(1.0), 3, axis=1),),
        base=np.repeat(STRAW.kg(1200.0), 3, axis=1),
        count_factor=(factors,), evaporation_kg_m2=[winds] * 20,
    )  # fmt: skip
    run = simulate(pen, 3)
    for column in range(3):
        alone = simulate(
            season(heads=6.0 * factors[column], evaporation_kg_m2=[float(winds[column])] * 20), 1
        )
        for name in (
            "top_moisture",
            "whole_moisture",
            "c_to_n",
            "mass_kg",
            "depth_m",
            "nitrogen_kg",
            "drained_kg",
        ):
            assert getattr(run, name)[:, column] == pytest.approx(getattr(alone, name)[:, 0], rel=1e-9)


@pytest.mark.parametrize("more", [1.2, 2.0, 5.0])
def test_more_bedding_and_more_animals_over_a_season(more: float) -> None:
    def wettest(run: PackRun) -> float:
        return float(run.top_moisture[10:].max())

    plain = wettest(simulate(season(), 1))
    assert wettest(simulate(season(straw=50.0 * more), 1)) <= plain + 1e-9
    assert wettest(simulate(season(heads=6.0 * more), 1)) >= plain - 1e-9


def test_an_empty_pen_stays_empty() -> None:
    nothing = np.zeros((COMPONENTS, 1))
    run = simulate(season(0.0, 0.0, 5, base=nothing, base_air_share=0.0), 1)
    assert float(run.mass_kg.max()) == 0.0
    assert float(run.c_to_n.max()) == 0.0


def test_what_drains_stands_beside_the_day_it_drained() -> None:
    # Ten kilograms of rain a square metre and day on a bed that starts dry: nothing runs off on the first day,
    # and what runs off on each day is the day's water less what the pack gained and gave to the air.
    pen = season(heads=20.0, straw=0.0, days=12, rain_kg_m2=10.0)
    run = simulate(pen, 1, keep_states=True)
    water = np.array([state.whole[WATER, 0] for state in run.states])
    brought = 20.0 * COW.components[WATER, 0] + 10.0 * pen.parameters.area_m2
    gone = brought - np.diff(water)  # drained and evaporated, day by day
    drained = run.drained_kg[:, 0]
    assert drained[0] == 0.0
    assert drained[-1] > 0.0
    evaporated = gone - drained[1:]
    assert (evaporated >= -1e-6).all()
    assert evaporated.sum() == pytest.approx(float(run.evaporated_kg[0]), rel=1e-6)
    assert (evaporated <= 1.0 * pen.parameters.area_m2 + 1e-6).all()
