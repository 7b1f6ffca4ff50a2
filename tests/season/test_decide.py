"""The bedding decision: its strict order, and an independent solution of the same goals."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from advisor.season.decide import Decision, Option, PenNeed, PeriodNeed, decide

PERIOD = PeriodNeed(first_day=0, days=28, to_soak_up=40.0, water=120.0, dry=18.0, least=30.0, most=120.0)
PEN = PenNeed(
    "pen", (PERIOD,), {}, end_carbon=500.0, end_nitrogen=40.0, moisture_limit=0.70, goal_c_to_n=25.0
)
STRAW = Option("straw", 0.87, 1.5, {"pen": (0.30,)}, 0.005, on_hand_kg=1e6, can_buy_kg=0.0, price_kg=0.1)
CHIPS = Option("chips", 0.70, 0.6, {"pen": (0.33,)}, 0.002, on_hand_kg=0.0, can_buy_kg=0.0, price_kg=0.05)


def daily(decision: Decision, pen: str = "pen") -> float:
    return sum(rates[0] for rates in decision.rates[pen].values())


def need(**changes: Any) -> PenNeed:
    return replace(PEN, periods=(replace(PERIOD, **changes),))


# --- dry, clean, supply, carbon ---------------------------------------------------------------------------


def test_dry_asks_for_more_than_practice() -> None:
    found = decide([need(to_soak_up=90.0)], [STRAW])
    assert daily(found) >= 90.0 / 1.5 - 1e-6
    assert found.missed != "dry"


def test_a_dry_bed_still_gets_the_practised_rate() -> None:
    found = decide([need(to_soak_up=0.0, water=0.0)], [STRAW])
    assert daily(found) >= 30.0 - 1e-6


def test_no_more_than_the_upper_mark_even_for_carbon() -> None:
    found = decide([replace(need(most=40.0, water=60.0), goal_c_to_n=60.0)], [STRAW])
    assert daily(found) <= 40.0 + 1e-6
    assert found.missed == "carbon"


def test_dry_comes_before_clean() -> None:
    """A little absorbent straw and plenty of chips that hold little: dryness takes the straw where it helps most."""
    wet = replace(PERIOD, to_soak_up=45.0, least=30.0, water=0.0)
    dry = replace(PERIOD, to_soak_up=0.0, least=30.0, water=0.0)
    pens = [replace(PEN, pen="wet", periods=(wet,)), replace(PEN, pen="dry", periods=(dry,))]
    kept = {"wet": (0.3,), "dry": (0.3,)}
    short = replace(STRAW, carbon_kept=kept, on_hand_kg=30.0 * 28)
    found = decide(pens, [short])
    assert daily(found, "wet") == pytest.approx(30.0, rel=1e-4)
    assert daily(found, "dry") == pytest.approx(0.0, abs=1e-3)
    assert found.missed == "clean"
    assert found.short["clean"] == pytest.approx(30.0 * 28, rel=1e-3)


def test_births_and_the_young_come_first_when_it_is_short() -> None:
    pens = [
        replace(need(to_soak_up=0.0, water=0.0), pen=name, urgency=u)
        for name, u in (("old", 1.0), ("lambing", 3.0))
    ]
    found = decide(
        pens, [replace(STRAW, carbon_kept={"old": (0.3,), "lambing": (0.3,)}, on_hand_kg=30.0 * 28)]
    )
    assert daily(found, "lambing") == pytest.approx(30.0, rel=1e-4)
    assert daily(found, "old") == pytest.approx(0.0, abs=1e-3)


def test_what_is_on_hand_goes_before_what_is_bought_and_the_cheapest_is_bought() -> None:
    plain = need(to_soak_up=0.0, water=0.0)
    options = [replace(STRAW, on_hand_kg=400.0, can_buy_kg=1e6), replace(CHIPS, can_buy_kg=1e6)]
    found = decide([replace(plain, goal_c_to_n=1.0)], options)
    assert found.buy_kg["straw"] == pytest.approx(0.0, abs=1e-2)
    assert found.buy_kg["chips"] == pytest.approx(30.0 * 28 - 400.0, rel=1e-3)


@given(goal=st.floats(20.0, 80.0), on_hand=st.floats(0.0, 3000.0), price=st.floats(0.0, 1.0))
def test_nothing_is_ever_bought_for_carbon_alone(goal: float, on_hand: float, price: float) -> None:
    straw = replace(STRAW, on_hand_kg=on_hand, can_buy_kg=1e6, price_kg=price)
    modest, greedy = (decide([replace(PEN, goal_c_to_n=g)], [straw]) for g in (1.0, goal))
    assert greedy.buy_kg["straw"] == pytest.approx(modest.buy_kg["straw"], abs=1e-2)


def test_what_carbon_would_cost_can_be_asked() -> None:
    lean = replace(PEN, end_carbon=700.0)
    straw = replace(STRAW, on_hand_kg=900.0, can_buy_kg=1e6)
    advised, bought = decide([lean], [straw]), decide([lean], [straw], buy_for_carbon=True)
    assert advised.missed == "carbon"
    assert bought.missed == "none"
    assert bought.buy_kg["straw"] > advised.buy_kg["straw"] + 1.0


def test_carbon_is_met_from_what_is_on_hand() -> None:
    lean = replace(PEN, end_carbon=700.0)
    found = decide([lean], [STRAW])
    assert found.missed == "none"
    added = daily(found) * 28
    assert (700.0 + 0.30 * added) / (40.0 + 0.005 * added) >= 25.0 - 1e-3
    assert daily(found) > daily(decide([replace(lean, goal_c_to_n=1.0)], [STRAW])) + 1.0


def test_carbon_leaves_a_reserve_but_dryness_may_take_it() -> None:
    lean = replace(PEN, end_carbon=700.0)
    straw = replace(STRAW, on_hand_kg=1500.0)
    kept = decide([lean], [straw], reserve=0.1)
    assert daily(kept) * 28 == pytest.approx(1350.0, rel=1e-3)
    assert kept.missed == "carbon"
    assert daily(decide([lean], [straw])) * 28 == pytest.approx(1500.0, rel=1e-3)
    wet = replace(need(to_soak_up=80.0), goal_c_to_n=1.0)
    assert daily(decide([wet], [straw], reserve=0.1)) * 28 == pytest.approx(80.0 / 1.5 * 28, rel=1e-3)


def test_a_reserve_is_no_reason_to_buy_and_what_is_bought_leaves_it_alone() -> None:
    straw = replace(STRAW, on_hand_kg=1500.0, can_buy_kg=1000.0)
    wet = replace(
        need(to_soak_up=2000.0 / 28 * 1.5, water=0.0), goal_c_to_n=1.0
    )  # 2,000 kg, 500 more than there are
    found = decide([wet], [straw], reserve=0.1)
    assert daily(found) * 28 == pytest.approx(2000.0, rel=1e-3)
    assert found.buy_kg["straw"] == pytest.approx(500.0, abs=1.0)
    # of two kinds alike, carbon is sought in the one whose reserve it need not touch
    kinds = [replace(STRAW, on_hand_kg=800.0), replace(STRAW, key="hay", on_hand_kg=800.0)]
    lean = replace(need(to_soak_up=0.0, water=0.0, least=0.0, most=1e3), end_carbon=700.0)
    both = decide([lean], kinds, reserve=0.25)
    assert {key: rates[0] * 28 for key, rates in both.rates["pen"].items()} == {
        "straw": pytest.approx(600.0, rel=1e-3),
        "hay": pytest.approx(600.0, rel=1e-3),
    }
    assert both.missed == "carbon"


def test_crumbs_are_neither_bought_nor_missed() -> None:
    plain = replace(
        need(to_soak_up=0.0, water=0.0), goal_c_to_n=1.0
    )  # 840 kg by practice; a crumb is 84 g of them
    for lacking, bought in ((0.05, 0.0), (1.0, 1.0)):
        found = decide([plain], [replace(STRAW, on_hand_kg=840.0 - lacking, can_buy_kg=9.0)])
        assert found.buy_kg["straw"] == pytest.approx(bought, abs=1e-3)
        short = decide([plain], [replace(STRAW, on_hand_kg=840.0 - lacking)])
        assert short.missed == ("clean" if bought else "none")


# --- what cannot be had -----------------------------------------------------------------------------------


def test_no_bedding_at_all_names_the_first_goal_that_breaks() -> None:
    found = decide([PEN], [replace(STRAW, on_hand_kg=0.0)])
    assert found.missed == "dry"
    assert daily(found) == 0.0
    assert found.short["dry"] > 0.0
    assert found.short["clean"] == pytest.approx(30.0 * 28)


def test_a_base_that_cannot_be_laid_is_short_of_supply_not_an_error() -> None:
    based = replace(need(to_soak_up=0.0, water=0.0, least=0.0), base_kg={"straw": 1000.0})
    for can_buy, lacking in ((0.0, 900.0), (300.0, 600.0), (900.0, 0.0)):
        found = decide([based], [replace(STRAW, on_hand_kg=100.0, can_buy_kg=can_buy)])
        assert found.short["supply"] == pytest.approx(lacking, abs=1.0)
        assert found.buy_kg["straw"] == pytest.approx(min(can_buy, 900.0), abs=1.0)
        if lacking:
            assert found.missed == "supply"


def test_a_material_that_comes_late_is_not_used_before() -> None:
    two = replace(PEN, periods=(PERIOD, replace(PERIOD, first_day=28)))
    kept = {"pen": (0.3, 0.3)}
    late = replace(STRAW, carbon_kept=kept, first_day=40)
    found = decide([two], [late])
    assert found.rates["pen"]["straw"][0] == 0.0
    assert found.rates["pen"]["straw"][1] > 0.0
    assert found.missed == "dry"


def test_an_even_winter_is_bedded_evenly() -> None:
    five = replace(PEN, periods=tuple(replace(PERIOD, first_day=28 * n) for n in range(5)), end_carbon=5e3)
    kept = {"pen": (0.3,) * 5}
    found = decide(
        [five],
        [
            replace(STRAW, carbon_kept=kept, on_hand_kg=2500.0),
            replace(CHIPS, carbon_kept=kept, on_hand_kg=9e4),
        ],
    )
    for rates in found.rates["pen"].values():
        assert max(rates) - min(rates) <= 0.02 * max(rates) + 0.01


@given(st.permutations(["straw", "chips", "peat"]), st.permutations(["a", "b"]))
def test_the_order_of_materials_and_pens_never_changes_the_amounts(
    materials: list[str], pens: list[str]
) -> None:
    kept = {"a": (0.3,), "b": (0.3,)}
    options = {
        "straw": replace(STRAW, carbon_kept=kept, on_hand_kg=1000.0, can_buy_kg=1e6),
        "chips": replace(CHIPS, carbon_kept=kept, on_hand_kg=500.0, can_buy_kg=1e6),
        "peat": Option("peat", 0.5, 3.0, kept, 0.004, 100.0, 1e6, 0.3),
    }
    needs = {"a": replace(PEN, pen="a"), "b": replace(need(to_soak_up=70.0), pen="b", urgency=3.0)}
    plain = decide(list(needs.values()), list(options.values()))
    shuffled = decide([needs[p] for p in pens], [options[m] for m in materials])
    assert sum(shuffled.buy_kg[m] * options[m].price_kg for m in options) == pytest.approx(
        sum(plain.buy_kg[m] * options[m].price_kg for m in options), rel=1e-3
    )
    for pen in needs:
        assert daily(shuffled, pen) == pytest.approx(daily(plain, pen), rel=0.01, abs=0.05)


# --- against scipy ----------------------------------------------------------------------------------------


@st.composite
def cases(draw: Any) -> tuple[PenNeed, list[Option]]:
    periods = tuple(
        PeriodNeed(
            28 * n, 28, draw(st.floats(0, 80)), draw(st.floats(0, 250)), draw(st.floats(5, 40)),
            draw(st.floats(0, 60)), draw(st.floats(20, 150)),
        )
        for n in range(draw(st.integers(1, 3)))
    )  # fmt: skip
    kept = {"pen": tuple(draw(st.floats(0.2, 0.4)) for _ in periods)}
    options = [
        Option(
            name, draw(st.floats(0.4, 0.95)), draw(st.floats(0.2, 3.0)), kept, draw(st.floats(0.001, 0.01)),
            draw(st.just(0.0) | st.floats(50, 4000)), draw(st.sampled_from([0.0, 500.0, 1e6])),
            draw(st.floats(0.01, 0.5)),
        )
        for name in ("one", "two")[: draw(st.integers(1, 2))]
    ]  # fmt: skip
    pen = replace(
        PEN, periods=periods, end_carbon=draw(st.floats(100, 2000)), end_nitrogen=draw(st.floats(10, 80)),
        moisture_limit=draw(st.floats(0.5, 0.75)),
    )  # fmt: skip
    return pen, options


@settings(max_examples=40)
@given(cases())
def test_every_goal_comes_out_as_scipy_finds_it(case: tuple[PenNeed, list[Option]]) -> None:
    """The same goals written down anew, solved one after the other by scipy."""
    pen, options = case
    ratio = pen.moisture_limit / (1.0 - pen.moisture_limit)
    for o in options:  # a material that neither dries nor wets at the limit makes every answer nearly right
        assume(abs(ratio * o.dry_share - (1.0 - o.dry_share)) > 0.05)
    found = decide([pen], options)
    wet, dirty, cost, lean = _by_scipy(pen, options)
    near = 1e-3 * (1.0 + sum((p.least + p.water + p.to_soak_up) * p.days for p in pen.periods))
    assert _wetness(pen, options, found) == pytest.approx(wet, abs=near)
    assert found.short["dry"] == pytest.approx(wet if found.short["dry"] else 0.0, abs=near)
    assert found.short["clean"] == pytest.approx(dirty if found.short["clean"] else 0.0, abs=near)
    spent = sum(found.buy_kg[o.key] * o.price_kg for o in options)
    assert spent == pytest.approx(cost, rel=1e-3, abs=near)
    assert found.short["carbon"] == pytest.approx(lean if found.short["carbon"] else 0.0, abs=near)


def _wetness(pen: PenNeed, options: list[Option], found: Decision) -> float:
    """Water neither soaked up nor borne at the limit, kg over the season, straight from the rates."""
    total, ratio = 0.0, pen.moisture_limit / (1.0 - pen.moisture_limit)
    for n, p in enumerate(pen.periods):
        x = [found.rates["pen"][o.key][n] for o in options]
        soaked = sum(a * o.soaks_up for a, o in zip(x, options, strict=True))
        borne = sum(a * (ratio * o.dry_share - (1.0 - o.dry_share)) for a, o in zip(x, options, strict=True))
        total += p.days * (max(0.0, p.to_soak_up - soaked) + max(0.0, p.water - ratio * p.dry - borne))
    return total


def _by_scipy(pen: PenNeed, options: list[Option]) -> tuple[float, float, float, float]:
    """(wet, dirty, cost, lean): columns are rates, purchases, then soak, moist, least slacks and the carbon slack."""
    periods, kinds = len(pen.periods), len(options)
    rates, buys = kinds * periods, kinds
    width = rates + buys + 3 * periods + 1
    ratio = pen.moisture_limit / (1.0 - pen.moisture_limit)
    rows, right = [], []

    def row(terms: dict[int, float], most: float) -> None:
        line = np.zeros(width)
        for column, value in terms.items():
            line[column] = value
        rows.append(line)
        right.append(most)

    def rate(o: int, n: int) -> int:
        return o * periods + n

    for n, p in enumerate(pen.periods):
        slack = rates + buys + 3 * n
        row({**{rate(o, n): -x.soaks_up for o, x in enumerate(options)}, slack: -1.0}, -p.to_soak_up)
        row(
            {
                **{rate(o, n): -(ratio * x.dry_share - (1 - x.dry_share)) for o, x in enumerate(options)},
                slack + 1: -1.0,
            },
            ratio * p.dry - p.water,
        )
        row({**{rate(o, n): -1.0 for o in range(kinds)}, slack + 2: -1.0}, -p.least)
        row({rate(o, n): 1.0 for o in range(kinds)}, max(p.most, p.least))
    for o, x in enumerate(options):
        row({**{rate(o, n): float(p.days) for n, p in enumerate(pen.periods)}, rates + o: -1.0}, x.on_hand_kg)
    row(
        {
            **{
                rate(o, n): -p.days * (x.carbon_kept["pen"][n] - pen.goal_c_to_n * x.nitrogen)
                for o, x in enumerate(options)
                for n, p in enumerate(pen.periods)
            },
            width - 1: -1.0,
        },
        pen.end_carbon - pen.goal_c_to_n * pen.end_nitrogen,
    )
    bounds = (
        [(0.0, None)] * rates + [(0.0, x.can_buy_kg) for x in options] + [(0.0, None)] * (3 * periods + 1)
    )
    goals = [np.zeros(width) for _ in range(4)]
    for n, p in enumerate(pen.periods):
        slack = rates + buys + 3 * n
        goals[0][slack], goals[0][slack + 1], goals[1][slack + 2] = p.days, p.days, p.days
    for o, x in enumerate(options):
        goals[2][rates + o] = x.price_kg
    goals[3][width - 1] = 1.0
    reached: list[float] = []
    for goal in goals:
        answer = linprog(goal, A_ub=np.array(rows), b_ub=np.array(right), bounds=bounds)
        reached.append(float(answer.fun))
        rows.append(goal)
        right.append(float(answer.fun) + 1e-5 * (1.0 + abs(float(answer.fun))))
    return reached[0], reached[1], reached[2], reached[3]
