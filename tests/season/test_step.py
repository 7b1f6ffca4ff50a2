"""One day of a pack: what must be conserved, and which way things must go."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.season.step import (
    ASH,
    CARBON_QUICK,
    CARBON_SLOW,
    COMPONENTS,
    HOLDING,
    NITROGEN,
    PHOSPHORUS,
    POTASSIUM,
    SOLIDS_QUICK,
    SOLIDS_SLOW,
    TAN,
    WATER,
    Inputs,
    Parameters,
    State,
    c_to_n,
    dry_matter,
    moisture,
    nitrogen_loss_factor,
    step,
)
from tests.season.layers import DUNG, STRAW, Day, Stuff, days, parameters, some_parameters, states


@settings(max_examples=40)
@given(states, st.lists(days, min_size=1, max_size=4), some_parameters)
def test_everything_is_conserved_every_day(state: State, season: list[Day], p: Parameters) -> None:
    for day in season:
        inputs = day.inputs()
        after, left = step(state, inputs, p)
        had, has = state.whole + inputs.added, after.whole
        near = 1e-9 * (1.0 + had.sum())
        assert has[ASH] == pytest.approx(had[ASH], abs=near)
        assert has[PHOSPHORUS] == pytest.approx(had[PHOSPHORUS], abs=near)
        assert has[POTASSIUM] + left.drained_potassium == pytest.approx(had[POTASSIUM], abs=near)
        water = has[WATER] + left.evaporated + left.drained
        assert water == pytest.approx(had[WATER] + day.rain_kg, abs=near)
        carbon = has[CARBON_QUICK] + has[CARBON_SLOW] + left.carbon
        assert carbon == pytest.approx(had[CARBON_QUICK] + had[CARBON_SLOW], abs=near)
        solids = has[SOLIDS_QUICK] + has[SOLIDS_SLOW] + left.solids
        assert solids == pytest.approx(had[SOLIDS_QUICK] + had[SOLIDS_SLOW], abs=near)
        nitrogen = has[NITROGEN] + left.ammonia_nitrogen + left.other_nitrogen
        assert nitrogen == pytest.approx(had[NITROGEN], abs=near)
        state = after


@settings(max_examples=40)
@given(states, days, some_parameters)
def test_nothing_is_ever_less_than_nothing(state: State, day: Day, p: Parameters) -> None:
    after, left = step(state, day.inputs(), p)
    for layer in (after.top, after.lower):
        assert (layer >= -1e-9).all()
        assert (layer[TAN] <= layer[NITROGEN] + 1e-9).all()
    for flow in vars(left).values():
        assert (flow >= -1e-12).all()
    assert (left.evaporated <= day.evaporation_kg + 1e-9).all()
    assert (after.lower[WATER] <= after.lower[HOLDING] + 1e-6).all()


@settings(max_examples=40)
@given(states, days, some_parameters)
def test_the_day_before_is_left_as_it_was(state: State, day: Day, p: Parameters) -> None:
    top, lower, inputs = state.top.copy(), state.lower.copy(), day.inputs()
    added = inputs.added.copy()
    step(state, inputs, p)
    assert (state.top == top).all()
    assert (state.lower == lower).all()
    assert (inputs.added == added).all()


@settings(max_examples=40)
@given(st.lists(st.tuples(states, days), min_size=2, max_size=4), some_parameters)
def test_draws_side_by_side_do_not_touch_each_other(pairs: list[tuple[State, Day]], p: Parameters) -> None:
    inputs = [day.inputs() for _, day in pairs]

    def beside(arrays: list[np.ndarray]) -> np.ndarray:
        return np.concatenate(arrays, axis=-1)

    joint = Inputs(
        beside([i.added for i in inputs]),
        beside([np.atleast_1d(i.excreted_nitrogen) for i in inputs]),
        beside([np.atleast_1d(i.excreted_tan) for i in inputs]),
        beside([np.atleast_1d(i.locking_bedding_kg) for i in inputs]),
        beside([np.atleast_1d(i.rain_kg) for i in inputs]),
        beside([np.atleast_1d(i.evaporation_kg) for i in inputs]),
    )
    state = State(beside([s.top for s, _ in pairs]), beside([s.lower for s, _ in pairs]))
    together, _ = step(state, joint, p)
    for column, (alone, one) in enumerate(zip(pairs, inputs, strict=True)):
        apart, _ = step(alone[0], one, p)
        assert together.whole[:, column] == pytest.approx(apart.whole[:, 0], rel=1e-12, abs=1e-12)


@settings(max_examples=40)
@given(states, days, some_parameters, st.floats(0.01, 300.0))
def test_more_dry_bedding_never_makes_the_top_wetter(
    state: State, day: Day, p: Parameters, more: float
) -> None:
    """For bedding drier than the top it goes on; where the top drips, also no wetter than it once soaked.

    (Peat spread on a dripping bed of chips keeps water in the top that had run through before.)
    """
    less, _ = step(state, day.inputs(), p)
    after, _ = step(state, replace(day, bedding_kg=day.bedding_kg + more).inputs(), p)
    wetness = float(moisture(less.top)[0])
    drips = float(less.top[WATER, 0]) >= float(less.top[HOLDING, 0]) - 1e-9
    soaked = day.bedding.holds / (1.0 + day.bedding.holds)
    if (soaked if drips else day.bedding.moisture) <= wetness:
        assert moisture(after.top)[0] <= wetness + 1e-9


@settings(max_examples=40)
@given(states, days, some_parameters, st.floats(1.0, 3.0))
def test_more_animals_never_make_the_top_drier(state: State, day: Day, p: Parameters, times: float) -> None:
    """As long as their dung, fresh and soaked, is wetter than the top it falls on: it is on any bed that works."""
    fewer, _ = step(state, day.inputs(), p)
    more, _ = step(state, replace(day, dung_kg=day.dung_kg * times).inputs(), p)
    soaked = day.dung.holds / (1.0 + day.dung.holds)
    if float(moisture(fewer.top)[0]) <= min(day.dung.moisture, soaked):
        assert moisture(more.top)[0] >= moisture(fewer.top)[0] - 1e-9


@settings(max_examples=40)
@given(states, days, some_parameters, st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_rain_wets_and_wind_dries(state: State, day: Day, p: Parameters, rain: float, wind: float) -> None:
    plain, _ = step(state, day.inputs(), p)
    wet, _ = step(state, replace(day, rain_kg=day.rain_kg + rain).inputs(), p)
    dry, _ = step(state, replace(day, evaporation_kg=day.evaporation_kg + wind).inputs(), p)
    assert wet.top[WATER][0] >= plain.top[WATER][0] - 1e-9
    assert dry.top[WATER][0] <= plain.top[WATER][0] + 1e-9


@settings(max_examples=40)
@given(states, days, some_parameters, st.floats(0.1, 10.0))
def test_a_pen_twice_as_big_in_everything_does_the_same(
    state: State, day: Day, p: Parameters, scale: float
) -> None:
    bigger = replace(
        day,
        dung_kg=day.dung_kg * scale, bedding_kg=day.bedding_kg * scale,
        rain_kg=day.rain_kg * scale, evaporation_kg=day.evaporation_kg * scale,
    )  # fmt: skip
    one, _ = step(state, day.inputs(), p)
    many, _ = step(State(state.top * scale, state.lower * scale), bigger.inputs(), p)
    assert many.whole == pytest.approx(one.whole * scale, rel=1e-9, abs=1e-9)


def test_nitrogen_stays_within_the_published_share_of_what_is_excreted() -> None:
    p = parameters(ammonia_share_of_tan=1.0, nitrogen_loss_share=0.39, c_to_n_effect=0.5)
    day = Day(DUNG, 300.0, STRAW, 0.0, 0.0, 50.0)
    nothing = np.zeros((COMPONENTS, 1))
    _, left = step(State(nothing, nothing), day.inputs(), p)
    excreted = float(DUNG.kg(300.0)[NITROGEN, 0])
    assert float(left.ammonia_nitrogen[0] + left.other_nitrogen[0]) == pytest.approx(0.4 * excreted)
    assert float(left.other_nitrogen[0]) >= 0.0


def test_straw_locks_up_ammonia_and_more_of_it_more() -> None:
    nothing = np.zeros((COMPONENTS, 1))
    lost = [
        float(
            step(State(nothing, nothing), Day(DUNG, 300.0, STRAW, kg, 0, 50).inputs(), parameters())[
                1
            ].ammonia_nitrogen[0]
        )
        for kg in (0.0, 40.0, 80.0, 2000.0)
    ]
    assert lost == sorted(lost, reverse=True)
    assert lost[0] > lost[1]
    assert lost[-1] == 0.0


def test_no_animals_no_nitrogen_lost() -> None:
    state = State(DUNG.kg(100.0), DUNG.kg(1000.0))
    _, left = step(state, Day(DUNG, 0.0, STRAW, 10.0, 0.0, 10.0).inputs(), parameters())
    assert float(left.ammonia_nitrogen[0]) == 0.0
    assert float(left.other_nitrogen[0]) == 0.0


@given(st.floats(5, 80), st.floats(0, 0.5))
def test_more_carbon_never_loses_more_nitrogen(ratio: float, effect: float) -> None:
    here, beyond = (nitrogen_loss_factor(r, effect, 15.0, 35.0) for r in (ratio, ratio + 1.0))
    assert float(beyond) <= float(here) + 1e-12
    assert 1.0 - effect - 1e-12 <= float(here) <= 1.0 + effect + 1e-12


def test_the_top_dries_slower_as_it_dries_and_never_below_the_floor() -> None:
    p = parameters(passed_down_per_day=0.0, evaporation_full_moisture=0.65, dry_floor_moisture=0.12)
    state = State(Stuff(0.7, 0.1, 0.5, 0.01, 0.0, 0.0, 9.0).kg(1000.0), np.zeros((COMPONENTS, 1)))
    still = Day(DUNG, 0.0, STRAW, 0.0, 0.0, 100.0)
    dried = []
    for _ in range(60):
        state, left = step(state, still.inputs(), p)
        dried.append(float(left.evaporated[0]))
    assert all(later <= earlier + 1e-9 for earlier, later in itertools.pairwise(dried))
    assert float(moisture(state.top)[0]) >= 0.12 - 1e-9


def test_an_empty_layer_has_no_moisture_and_no_ratio() -> None:
    nothing = np.zeros((COMPONENTS, 2))
    assert (moisture(nothing) == 0).all()
    assert (c_to_n(nothing) == 0).all()
    assert (dry_matter(nothing) == 0).all()


def test_ratio_of_a_layer() -> None:
    layer = STRAW.kg(100.0)
    carbon, nitrogen = layer[CARBON_QUICK] + layer[CARBON_SLOW], layer[NITROGEN]
    assert c_to_n(layer) == pytest.approx(carbon / nitrogen)
