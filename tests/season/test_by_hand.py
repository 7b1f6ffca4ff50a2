"""The season's engine against sums on paper: a day, a few days, their calendar, and the bedding decided for them."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from advisor.farm.model import Farm
from advisor.reasoning.draws import Numbers
from advisor.season.decide import Decision, Option, PenNeed, PeriodNeed, decide
from advisor.season.linear import LinearProgram
from advisor.season.simulate import HeadFlow, PackRun, PenSeason, simulate
from advisor.season.step import (
    CARBON_QUICK,
    CARBON_SLOW,
    COMPONENTS,
    HOLDING,
    NITROGEN,
    POTASSIUM,
    TAN,
    WATER,
    Flows,
    Inputs,
    State,
    c_to_n,
    moisture,
    nitrogen_loss_factor,
    share_of,
    step,
)
from advisor.season.timeline import Timeline, timeline
from tests.season.layers import parameters


def layer(*rows: float) -> Numbers:
    """Water, ash, solids quick and slow, carbon quick and slow, N, TAN, P, K, holding; nothing for the rest."""
    return np.array([*rows, *[0.0] * (COMPONENTS - len(rows))])[:, np.newaxis]


def one(value: Any) -> float:
    return float(np.asarray(value).ravel()[0])


# --- a day ------------------------------------------------------------------------------------------------

#: Every part counts in a day with these: decay 10 % and 5 %, a tenth passed down, straw that locks up a hundredth.
DAY = parameters(
    quick_decay_per_day=0.1, slow_decay_per_day=0.05, passed_down_per_day=0.1, nitrogen_loss_share=0.25,
    nitrogen_loss_low=0.1, nitrogen_loss_high=0.4, ammonia_share_of_tan=0.2, c_to_n_effect=0.2, c_to_n_from=15.0,
    c_to_n_to=35.0, nitrogen_locked_kg_kg=0.01, dry_floor_moisture=0.2, evaporation_full_moisture=0.6,
)  # fmt: skip
TOP = layer(100.0, 10.0, 40.0, 60.0, 20.0, 30.0, 3.0, 1.0, 1.0, 4.0, 20.0)
LOWER = layer(300.0, 20.0, 60.0, 140.0, 30.0, 70.0, 3.0, 1.0, 2.0, 10.0, 200.0)
ADDED = layer(60.0, 5.0, 10.0, 20.0, 5.0, 10.0, 1.75, 1.0, 0.5, 1.0, 100.0)
TODAY = Inputs(ADDED, 1.6, 0.9, 10.0, 7.0, 27.5, 1.5)
STILL = replace(DAY, quick_decay_per_day=0.0, slow_decay_per_day=0.0, passed_down_per_day=0.0)


def a_day(top: Numbers, **changes: Any) -> tuple[State, Flows]:
    """A day on a top with nothing below, where no microbe eats and nothing passes down."""
    day = {
        "added": layer(),
        "excreted_nitrogen": 0.0,
        "excreted_tan": 0.0,
        "locking_bedding_kg": 0.0,
    } | changes
    return step(State(top, layer()), Inputs(**{"rain_kg": 0.0, "evaporation_kg": 0.0, **day}), STILL)


def test_a_day_of_a_pack_by_hand() -> None:
    after, left = step(State(TOP, LOWER), TODAY, DAY)
    # eaten: top 4 + 3 of its 100 kg solids, 2 + 1.5 kg C; lower 6 + 7 of its 200, 3 + 3.5 kg C
    assert one(left.carbon) == pytest.approx(10.0)
    assert one(left.solids) == pytest.approx(20.0)
    # C:N of both with the day's additions: (23 + 38.5 + 27 + 66.5) / (4.75 + 3) = 20, a quarter of the way from
    # 15 to 35: 1 + 0.2 x 0.5 = 1.1 times. Lost 0.275 x 1.6 kg; ammonia 0.2 x 1.1 x 1.5 of 0.9 - 0.01 x 10 kg.
    assert one(left.ammonia_nitrogen) == pytest.approx(0.264)
    assert one(left.other_nitrogen) == pytest.approx(0.44 - 0.264)
    # dry matter 15 + 46 + 77 kg; water 167, of which a quarter of that is never dried off: 132.5 kg are free;
    # (1.5 - 0.25) x 138 = 172.5 kg at the full rate: 132.5 x 27.5 / (172.5 + 27.5)
    assert one(left.evaporated) == pytest.approx(18.21875)
    # top holds 20 x 0.93 + 100, so 148.78125 - 118.6 run down; then a tenth of everything follows
    top = [118.6, 15.0, 46.0, 77.0, 23.0, 38.5, 4.31, 1.56, 1.5, 5.0, 118.6]
    assert after.top[:, 0] == pytest.approx([0.9 * row for row in top])
    below = [300.0 + 30.18125, 20.0, 54.0, 133.0, 27.0, 66.5, 3.0, 1.0, 2.0, 10.0, 187.0]
    lower = [a + 0.1 * b for a, b in zip(below, top, strict=True)]
    # lower: 342.04125 kg of water where 187 + 11.86 are held; potassium goes in step with the water
    assert one(left.drained) == pytest.approx(342.04125 - 198.86)
    lower[WATER] = 198.86
    gone = 10.5 * 143.18125 / 342.04125
    assert one(left.drained_potassium) == pytest.approx(gone)
    lower[POTASSIUM] -= gone
    assert after.lower[:, 0] == pytest.approx(lower)


def test_the_days_before_warmth_was_counted_stand_for_themselves() -> None:
    plain = Inputs(ADDED, 1.6, 0.9, 10.0, 7.0, 27.5)
    assert one(step(State(TOP, LOWER), plain, DAY)[1].ammonia_nitrogen) == pytest.approx(0.176)


def test_nitrogen_within_its_bounds_by_hand() -> None:
    rich = layer(0.0, 0.0, 0.0, 0.0, 5.0, 5.0, 1.0, 0.5)  # C:N 10: the full 1.2 times
    poor = layer(0.0, 0.0, 0.0, 0.0, 50.0, 50.0, 1.0, 0.5)  # C:N 100: 0.8 times

    def lost(
        top: Numbers, p: Any, excreted: float, tan: float, warmth: float = 1.0
    ) -> tuple[float, float, State]:
        day = Inputs(layer(), excreted, tan, 0.0, 0.0, 0.0, warmth)
        after, left = step(State(top, layer()), day, p)
        return one(left.ammonia_nitrogen), one(left.ammonia_nitrogen + left.other_nitrogen), after

    # 0.38 x 1.2 is more than 0.4, 0.11 x 0.8 less than 0.1
    assert lost(rich, replace(STILL, nitrogen_loss_share=0.38), 1.0, 0.0)[1] == pytest.approx(0.4)
    assert lost(poor, replace(STILL, nitrogen_loss_share=0.11), 1.0, 0.0)[1] == pytest.approx(0.1)
    # no more ammonia than is lost, and in the greatest heat no more than all that is free
    assert lost(rich, STILL, 0.5, 0.9)[:2] == pytest.approx((0.3 * 0.5, 0.3 * 0.5))
    assert lost(rich, STILL, 1.0, 0.2, 9.0)[:2] == pytest.approx((0.2, 0.3))
    # of 0.3 kg lost the 0.5 kg of ammoniacal nitrogen give all; of 0.6 kg they give the half and the rest is organic
    assert one(lost(rich, STILL, 1.0, 0.2)[2].top[TAN]) == pytest.approx(0.2)
    after = lost(rich, STILL, 2.0, 0.2)[2]
    assert (one(after.top[TAN]), one(after.top[NITROGEN])) == pytest.approx((0.0, 0.4))


def test_a_wet_top_dries_at_the_full_rate_and_no_faster() -> None:
    dry = (0.0, 10.0, 40.0, 50.0)  # 100 kg: 25 kg of water stay, the full rate is reached 125 kg above that
    for water, rate, dried in (
        (1000.0, 30.0, 30.0),
        (25.0 + 125.0 + 30.0, 30.0, 30.0),  # just enough for the full rate
        (25.0 + 77.5, 30.0, 15.0),  # half of that: 77.5 x 30 / 155
        (20.0, 30.0, 0.0),
    ):
        top = layer(*dry)
        top[WATER], top[HOLDING] = water, 9999.0
        assert one(a_day(top, evaporation_kg=rate)[1].evaporated) == pytest.approx(dried), water
    # where the full rate would be reached below the floor, all that is free dries, as fast as it may
    swapped = replace(STILL, dry_floor_moisture=0.5, evaporation_full_moisture=0.2)
    top = layer(110.0, 10.0, 40.0, 50.0, 0, 0, 0, 0, 0, 0, 999.0)
    for rate, dried in ((30.0, 10.0), (4.0, 4.0)):
        still = Inputs(layer(), 0.0, 0.0, 0.0, 0.0, rate)
        assert one(step(State(top, layer()), still, swapped)[1].evaporated) == pytest.approx(dried)


def test_a_bucketful_has_a_moisture_and_a_ratio_too() -> None:
    small = layer(0.006, 0.001, 0.001, 0.002, 0.0004, 0.0006, 0.00004)
    assert one(moisture(small)) == pytest.approx(0.6)
    assert one(c_to_n(small)) == pytest.approx(25.0)
    assert one(c_to_n(small, 2.0 * small)) == pytest.approx(25.0)
    assert one(share_of(np.array([0.001]), np.array([0.004]))) == pytest.approx(0.25)
    bare = layer(1.0, 0.0, 0.0, 0.0, 3.0, 4.0)  # carbon without nitrogen has no ratio
    assert one(c_to_n(bare)) == 0.0


def test_the_loss_between_its_ends() -> None:
    # 1.2 at 15 or less, 0.8 at 35 or more, straight between
    for ratio, factor in ((5.0, 1.2), (15.0, 1.2), (20.0, 1.1), (25.0, 1.0), (35.0, 0.8), (90.0, 0.8)):
        assert one(nitrogen_loss_factor(ratio, 0.2, 15.0, 35.0)) == pytest.approx(factor)


# --- a few days -------------------------------------------------------------------------------------------

EWE = HeadFlow(layer(2.0, 0.1, 0.2, 0.2, 0.1, 0.1, 0.04, 0.02, 0.0, 0.0, 1.0), 0.03, 0.02)
RAM = HeadFlow(layer(3.0, 0.2, 0.3, 0.3, 0.15, 0.15, 0.06, 0.03, 0.0, 0.0, 2.0), 0.05, 0.04)
HAY = layer(0.2, 0.1, 0.3, 0.4, 0.15, 0.2, 0.01, 0.0, 0.0, 0.0, 3.0)
CHIPS = layer(0.4, 0.0, 0.1, 0.5, 0.05, 0.25, 0.001, 0.0, 0.0, 0.0, 1.0)


def flock(**changes: Any) -> PenSeason:
    """Two groups, two materials and three days, no two of them alike."""
    told: dict[str, Any] = {
        "heads": np.array([[10.0, 10.0, 4.0], [1.0, 2.0, 2.0]]), "head_flows": (EWE, RAM),
        "bedding_kg_day": np.array([[20.0, 0.0, 30.0], [5.0, 5.0, 5.0]]), "bedding_per_kg": (HAY, CHIPS),
        "locks_nitrogen": (True, False), "base": 100.0 * HAY, "base_depth_m": 0.2,
        "evaporation_kg_m2": [0.5, 0.6, 0.7], "rain_kg_m2": 0.1, "parameters": replace(DAY, area_m2=10.0),
        "solids_density_kg_m3": 1500.0, "water_density_kg_m3": 1000.0, "air_share": 0.2, "base_air_share": 0.9,
        "base_trodden_per_day": 0.5, "ammonia_warmth": [1.0, 2.0, 0.5], "count_factor": (0.5, 1.0),
    }  # fmt: skip
    return PenSeason(**(told | changes))


def by_steps(pen: PenSeason) -> tuple[list[State], list[Flows]]:
    """The three days one by one: heads (ewes halved by their factor) and bedding as told above."""
    state, states, flows = State(pen.base, layer()), [State(pen.base, layer())], []
    for ewes, rams, hay, chips, wind, warmth in (
        (5.0, 1.0, 20.0, 5.0, 5.0, 1.0), (5.0, 2.0, 0.0, 5.0, 6.0, 2.0), (2.0, 2.0, 30.0, 5.0, 7.0, 0.5),
    ):  # fmt: skip
        added = ewes * EWE.components + rams * RAM.components + hay * HAY + chips * CHIPS
        nitrogen, tan = ewes * 0.03 + rams * 0.05, ewes * 0.02 + rams * 0.04
        state, left = step(state, Inputs(added, nitrogen, tan, hay, 1.0, wind, warmth), pen.parameters)
        states.append(state)
        flows.append(left)
    return states, flows


def test_a_season_is_its_days_one_after_the_other() -> None:
    pen = flock()
    run, (states, flows) = simulate(pen, 1, keep_states=True), by_steps(pen)
    for kept, state in zip(run.states, states, strict=True):
        assert kept.top == pytest.approx(state.top)
        assert kept.lower == pytest.approx(state.lower)
    assert run.end.whole == pytest.approx(states[-1].whole)
    assert run.ammonia_kg[:, 0] == pytest.approx([0.0, *(one(f.ammonia_nitrogen) for f in flows)])
    assert run.drained_kg[:, 0] == pytest.approx([0.0, *(one(f.drained) for f in flows)])
    assert one(run.evaporated_kg) == pytest.approx(sum(one(f.evaporated) for f in flows))
    assert one(run.carbon_lost_kg) == pytest.approx(sum(one(f.carbon) for f in flows))
    lost = sum(one(f.ammonia_nitrogen) + one(f.other_nitrogen) for f in flows)
    assert one(run.nitrogen_lost_kg) == pytest.approx(lost)
    assert one(run.potassium_drained_kg) == pytest.approx(sum(one(f.drained_potassium) for f in flows))
    # 12 ewes and 5 rams for a day; carbon 0.2 and 0.3 kg a head, 0.35 a kg of hay (150 kg), 0.3 of chips (15 kg)
    assert one(run.excreted_nitrogen_kg) == pytest.approx(12.0 * 0.03 + 5.0 * 0.05)
    assert one(run.carbon_in_kg) == pytest.approx(12.0 * 0.2 + 5.0 * 0.3 + 150.0 * 0.35 + 15.0 * 0.3)


def test_the_rows_of_a_season_by_hand() -> None:
    pen = flock()
    run, (states, _) = simulate(pen, 1), by_steps(pen)
    for day, state in enumerate(states):
        top, lower = state.top[:, 0], state.lower[:, 0]
        dry_top, dry = sum(top[1:4]), sum(top[1:4]) + sum(lower[1:4])
        water = top[WATER] + lower[WATER]
        carbon = sum(top[CARBON_QUICK : CARBON_SLOW + 1]) + sum(lower[CARBON_QUICK : CARBON_SLOW + 1])
        air = 0.2 + 0.7 * np.exp(-0.5 * day)  # airy as laid, trodden by a factor of e in two days
        assert run.top_moisture[day, 0] == pytest.approx(top[WATER] / (top[WATER] + dry_top))
        assert run.whole_moisture[day, 0] == pytest.approx(water / (water + dry))
        assert run.mass_kg[day, 0] == pytest.approx(water + dry)
        assert run.c_to_n[day, 0] == pytest.approx(carbon / (top[NITROGEN] + lower[NITROGEN]))
        assert run.nitrogen_kg[day, 0] == pytest.approx(top[NITROGEN] + lower[NITROGEN])
        assert run.depth_m[day, 0] == pytest.approx((dry / 1500.0 + water / 1000.0) / (1.0 - air) / 10.0)
    assert one(run.volume_end_m3) == pytest.approx(10.0 * run.depth_m[-1, 0])


def test_a_season_goes_on_from_a_pack_and_leaves_it_as_it_was() -> None:
    before = State(TOP.copy(), LOWER.copy())
    run = simulate(flock(first=before), 1, keep_states=True)
    assert (before.top == TOP).all()
    assert (before.lower == LOWER).all()
    assert run.mass_kg[0, 0] == pytest.approx(730.0)  # 100 + 110 and 300 + 220
    # carbon that is there already, 50 + 100 kg, and that of 12 ewes, 5 rams, 50 kg of hay and 15 kg of chips
    assert one(run.carbon_in_kg) == pytest.approx(150.0 + 2.4 + 1.5 + 17.5 + 4.5)


def test_many_draws_are_written_in_stretches_and_come_out_the_same() -> None:
    alone = simulate(flock(), 1)
    for draws in (2500, 9500):  # three days at a time of the four, and a day at a time
        wide = {
            "head_flows": tuple(replace(f, components=np.repeat(f.components, draws, 1)) for f in (EWE, RAM)),
            "bedding_per_kg": (np.repeat(HAY, draws, 1), np.repeat(CHIPS, draws, 1)),
            "base": np.repeat(100.0 * HAY, draws, 1),
        }
        run = simulate(flock(**wide), draws)
        for name in ("top_moisture", "whole_moisture", "c_to_n", "mass_kg", "depth_m", "nitrogen_kg"):
            assert getattr(run, name)[:, -1] == pytest.approx(getattr(alone, name)[:, 0]), name
        assert run.volume_end_m3[-1] == pytest.approx(alone.volume_end_m3[0])


def test_a_change_of_weather_alone_is_a_change() -> None:
    same = {"heads": np.full((2, 3), 2.0), "bedding_kg_day": np.full((2, 3), 3.0), "count_factor": ()}

    def end(wind: Any, warmth: Any) -> PackRun:
        return simulate(flock(**same, evaporation_kg_m2=wind, ammonia_warmth=warmth), 1)

    calm, windy = end([0.1] * 3, [1.0] * 3), end([0.1, 0.5, 0.5], [1.0] * 3)
    assert one(windy.evaporated_kg) > one(calm.evaporated_kg) * 1.5
    # weather drawn: an array of its own for each of two months, like numbers or not
    drawn = end([np.array([0.1]), *[np.array([0.5])] * 2], [1.0] * 3)
    assert one(drawn.evaporated_kg) == pytest.approx(one(windy.evaporated_kg))
    warm = end([0.1] * 3, [1.0, 3.0, 3.0])
    assert one(warm.ammonia_kg.sum()) > one(calm.ammonia_kg.sum()) * 1.5
    assert end([0.1] * 3, ()).ammonia_kg == pytest.approx(calm.ammonia_kg)  # none told: as the shares are


# --- the calendar -----------------------------------------------------------------------------------------

START = dt.date(2026, 11, 1)


def day(number: int) -> str:
    return (START + dt.timedelta(days=number)).isoformat()


def laid_out(*groups: dict[str, Any], **farm: Any) -> Timeline:
    """A season of a farm that starts on the first of November, unless told otherwise."""
    heads = [{"id": f"g{n}", "class": "ewe", "count": 10, **g} for n, g in enumerate(groups)]
    return timeline(Farm.model_validate({"start": START, "groups": heads, **farm}), START, 149.6)


def lengths(season: Timeline) -> list[int]:
    return [period.days for period in season.periods]


def test_how_long_a_season_is() -> None:
    assert laid_out({}).days == 150  # as usual, to whole days
    assert laid_out({}, end=day(40)).days == 40
    assert laid_out({}, start=None, end=day(40), days=30).start == dt.date(2026, 11, 11)
    # only the end is told: the usual 150 days before the eleventh of December
    assert laid_out({}, start=None, end=day(40)).start == dt.date(2026, 7, 14)
    assert not laid_out({}, start=None, days=10).dates_told
    assert laid_out({}, start=None, end=day(40)).dates_told


def test_periods_of_four_weeks_without_a_stub() -> None:
    assert lengths(laid_out({}, days=28)) == [28]
    assert lengths(laid_out({}, days=34)) == [34]  # six days more are no period
    assert lengths(laid_out({}, days=35)) == [28, 7]
    assert lengths(laid_out({}, days=62)) == [28, 34]
    assert lengths(laid_out({}, days=3)) == [3]


def test_a_period_ends_where_something_changes() -> None:
    season = laid_out({"in": day(3), "out": day(20), "changes": [{"date": day(9), "count": 12}]}, days=30)
    assert lengths(season) == [3, 6, 11, 10]
    assert season.heads["g0"].tolist() == [0.0] * 3 + [10.0] * 6 + [12.0] * 11 + [0.0] * 10
    sold = laid_out({"changes": [{"date": day(9), "count": 7}]}, {}, days=30)
    assert lengths(sold) == [9, 21]
    # born before they came in: counted from the day they come
    early = laid_out({"in": day(3), "changes": [{"date": day(1), "count": 12}]}, days=10)
    assert early.heads["g0"].tolist() == [0.0] * 3 + [12.0] * 7
    first = laid_out({"in": day(1)}, days=10)  # a day late is late
    assert first.heads["g0"].tolist() == [0.0] + [10.0] * 9
    last = laid_out({"out": day(1)}, days=10)  # a day only
    assert last.heads["g0"].tolist() == [10.0] + [0.0] * 9


def test_a_period_ends_where_bedding_comes_or_the_rate_changes() -> None:
    straw = {"name": "wheat straw", "from_date": day(12)}
    line = {"material": "wheat straw", "rate": "9 kg/day", "from": day(1), "to": day(29)}
    season = laid_out({}, days=30, materials=[straw], bedding=[line])
    assert lengths(season) == [1, 11, 17, 1]
    outside = laid_out(
        {}, days=20, materials=[straw | {"from_date": day(20)}], bedding=[line | {"from": day(0)}]
    )
    assert lengths(outside) == [20]  # the first day, the last and later ones divide nothing


# --- the linear program -----------------------------------------------------------------------------------


def test_goals_in_their_order_by_hand() -> None:
    program = LinearProgram()
    x, y = program.variable(), program.variable(4.0)
    program.row({x: 1.0, y: 2.0}, low=10.0)
    # least x: as much y as may be, 4, and x = 2; then y is as large as it must be, whatever it weighs
    solved, reached = program.solve([{x: 1.0}, {y: 5.0}])
    assert solved == pytest.approx([2.0, 4.0], abs=1e-5)
    assert reached == pytest.approx([2.0, 20.0], abs=1e-4)
    capped = LinearProgram()
    a, b = capped.variable(), capped.variable(upper=3.0, lower=2.0)
    capped.row({a: 1.0, b: 1.0}, low=4.0, high=4.0)
    assert capped.solve([{b: 1.0}])[0] == pytest.approx([2.0, 2.0])
    assert capped.solve([{b: -1.0}])[0] == pytest.approx([1.0, 3.0])


def test_a_large_goal_is_kept_to_a_ten_millionth() -> None:
    program = LinearProgram()
    x, y = program.variable(), program.variable()
    program.row({x: 1.0, y: 1.0}, low=1e6)
    solved, reached = program.solve([{x: 1.0, y: 1.0}, {x: 1.0}])
    assert reached[0] == pytest.approx(1e6)
    assert solved[x] == pytest.approx(0.0, abs=0.2)
    assert sum(solved) <= 1e6 + 0.2


# --- the decision -----------------------------------------------------------------------------------------

WEEKS = PeriodNeed(0, 20, to_soak_up=0.0, water=0.0, dry=0.0, least=5.0, most=50.0)
FOLD = PenNeed("fold", (WEEKS,), {}, 100.0, 10.0, moisture_limit=0.75, goal_c_to_n=1.0)
#: At three of water to one dry a kilogram bears 3 x 0.9 - 0.1 = 2.6 kg of water; it soaks up 1.5 kg.
STRAW = Option("straw", 0.9, 1.5, {"fold": (0.4,)}, 0.004, on_hand_kg=1000.0, can_buy_kg=0.0, price_kg=0.1)


def a_day_s(found: Decision, key: str = "straw") -> float:
    return found.rates["fold"][key][0]


def fold(goal: float = 1.0, base: float = 0.0, **changes: Any) -> PenNeed:
    laid = {"straw": base} if base else {}
    return replace(FOLD, goal_c_to_n=goal, base_kg=laid, periods=(replace(WEEKS, **changes),))


def test_the_amounts_by_hand() -> None:
    near = {"abs": 1e-3}
    assert a_day_s(decide([FOLD], [STRAW])) == pytest.approx(5.0, **near)
    assert a_day_s(decide([fold(to_soak_up=30.0)], [STRAW])) == pytest.approx(20.0, **near)
    # 61 kg of water over 3 kg of dung, dry, that bears three times itself: 52 / 2.6
    assert a_day_s(decide([fold(water=61.0, dry=3.0)], [STRAW])) == pytest.approx(20.0, **near)
    assert a_day_s(decide([fold(to_soak_up=300.0)], [STRAW])) == pytest.approx(
        50.0, **near
    )  # no more than most
    # 20 = (100 + 0.4 a) / (10 + 0.004 a): a = 100 / 0.32 in twenty days
    assert a_day_s(decide([fold(20.0)], [STRAW])) == pytest.approx(15.625, **near)
    short = decide([fold(20.0)], [replace(STRAW, on_hand_kg=200.0)])
    assert a_day_s(short) == pytest.approx(10.0, **near)
    assert short.short["carbon"] == pytest.approx(36.0, abs=1e-2)  # 100 - 0.32 x 200
    # a base of 150 kg comes first: 50 kg are left of 200, where practice asks for 100
    based = decide([fold(base=150.0)], [replace(STRAW, on_hand_kg=200.0)])
    assert a_day_s(based) == pytest.approx(2.5, **near)
    assert based.short["clean"] == pytest.approx(50.0, abs=1e-2)
    assert based.missed == "clean"


def test_what_is_bought_by_hand() -> None:
    dear = replace(STRAW, on_hand_kg=40.0, can_buy_kg=1000.0)
    found = decide([FOLD], [dear])
    assert found.buy_kg["straw"] == pytest.approx(60.0, abs=1e-2)
    assert found.missed == "none"
    # a base of 70 kg, 40 on hand: 30 to buy for it, and the 100 of practice
    assert decide([fold(base=70.0)], [dear]).buy_kg["straw"] == pytest.approx(130.0, abs=1e-2)
    free = replace(STRAW, key="bracken", on_hand_kg=0.0, can_buy_kg=50.0, price_kg=0.0)
    both = decide([FOLD], [replace(dear, on_hand_kg=0.0), free])
    assert both.buy_kg == pytest.approx({"straw": 50.0, "bracken": 50.0}, abs=1e-2)


def test_the_reserve_is_of_what_is_on_hand_after_the_base() -> None:
    # a tenth of 300 kg is kept back: 270 kg go on the bed for carbon; with a base of 100 kg, 170
    some = replace(STRAW, on_hand_kg=300.0)
    assert a_day_s(decide([fold(20.0)], [some], reserve=0.1)) == pytest.approx(13.5, abs=1e-2)
    assert a_day_s(decide([fold(20.0, 100.0)], [some], reserve=0.1)) == pytest.approx(8.5, abs=1e-2)
    # on hand 40 kg where 100 are needed and more is for sale: the reserve is no reason to buy 4 kg more
    for_sale = replace(STRAW, on_hand_kg=40.0, can_buy_kg=1000.0)
    assert decide([FOLD], [for_sale], reserve=0.1).buy_kg["straw"] == pytest.approx(60.0, abs=1e-2)


def test_what_comes_on_the_day_after_a_period_is_no_use_in_it() -> None:
    assert a_day_s(decide([FOLD], [replace(STRAW, first_day=20)])) == 0.0
    assert a_day_s(decide([FOLD], [replace(STRAW, first_day=19)])) == pytest.approx(5.0, abs=1e-3)


def test_a_goal_unnamed_is_met() -> None:
    assert Decision({}, {}, {}).missed == "none"
    assert Decision({}, {}, {}, {"carbon": 0.5, "supply": 0.2}).missed == "supply"
    assert (Decision({}, {}, {}).carbon_bought_kg, Decision({}, {}, {}).mend_kg) == (0.0, 0.0)
