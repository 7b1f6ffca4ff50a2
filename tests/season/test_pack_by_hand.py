"""The pack's books and the decision fed by them, against sums on paper: a pen in which nothing is lost."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from advisor.farm.model import Addition
from advisor.season import pack
from advisor.season.decide import Decision, PenNeed, PeriodNeed
from advisor.season.simulate import PackRun, PenSeason, simulate
from tests.season.layers import parameters
from tests.season.test_bed_by_hand import CHIPS, SEASON, STRAW
from tests.season.test_by_hand import CHIPS as CHIPS_KG
from tests.season.test_by_hand import EWE, HAY, RAM

LOSSLESS = parameters(
    quick_decay_per_day=0.0,
    slow_decay_per_day=0.0,
    nitrogen_loss_share=0.0,
    nitrogen_loss_low=0.0,
    area_m2=20.0,
)
NEED = PenNeed(
    "fold",
    (PeriodNeed(0, 8, 0.0, 0.0, 0.0, 1.0, 9.0), PeriodNeed(8, 12, 0.0, 0.0, 0.0, 1.0, 9.0)),
    {}, 0.0, 0.0, 0.9, 10.0,
)  # fmt: skip


def unbedded(**changes: Any) -> PenSeason:
    told: dict[str, Any] = {
        "timeline": SEASON, "group_keys": ("ewes", "rams"), "each_group_bed_flow": (EWE, RAM),
        "each_group_count_factor": (1.0, 1.0), "each_material_bedding_per_kg": (HAY, CHIPS_KG),
        "each_material_told_rate_factor": (1.0, 1.0), "each_material_material_locks_nitrogen": (True, False),
        "evaporation_by_day": [0.0] * 20, "ammonia_warmth_by_day": [1.0] * 20, "rain_on_bed": 0.0,
        "pack_parameters": LOSSLESS, "solids_density": 1500.0, "water_density": 1000.0, "pack_air_share": 0.2,
        "base_trodden_per_day": 0.1, "base_kg": 100.0, "base_key": "straw", "laid_base_depth_m": 0.02,
        "area_m2": 20.0, "supplies": (STRAW, CHIPS),
    }  # fmt: skip
    return pack.unbedded(**(told | changes))


def decided(on_hand: float, supply: Any = STRAW, margin: float = 0.1, **changes: Any) -> Decision:
    told: dict[str, Any] = {
        "timeline": SEASON, "supplies": (supply,), "told_bedding": None, "base_keys": ("straw",),
        "each_pen_pen_key": ("fold",), "each_pen_bed_need": (NEED,),
        "each_pen_unbedded": (unbedded(each_material_bedding_per_kg=(HAY,), each_material_told_rate_factor=(1.0,),
                                       each_material_material_locks_nitrogen=(True,), supplies=(STRAW,)),),
        "each_pen_base_kg": (100.0,), "each_material_usable_on_hand_kg": (on_hand,),
        "each_material_soaks_up_kg_kg": (1.5,), "each_material_bedding_per_kg": (HAY,), "purchase_margin": margin,
    }  # fmt: skip
    return pack.bedding_decision(**(told | changes))


def laid(found: Decision) -> float:
    first, second = found.rates["fold"]["straw"]
    return 8.0 * first + 12.0 * second


def test_a_base_by_its_air() -> None:
    pen = unbedded()
    assert pen.base[:, 0] == pytest.approx(100.0 * HAY[:, 0])
    # 80 kg solids and 20 kg water in 0.4 m3: 0.0533 + 0.02
    assert float(pen.base_air_share[0]) == pytest.approx(1.0 - (0.08 / 1.5 + 0.02) / 0.4)
    assert float(unbedded(laid_base_depth_m=1e-4).base_air_share[0]) == 0.0
    assert float(unbedded(laid_base_depth_m=99.0).base_air_share[0]) == 0.995
    assert float(unbedded(base_kg=0.0).base_air_share[0]) == 0.2
    assert unbedded(base_key="chips").base[:, 0] == pytest.approx(100.0 * CHIPS_KG[:, 0])
    assert pen.heads.sum(axis=1).tolist() == [128.0, 40.0]
    assert pen.bedding_kg_day.shape == (2, 20)
    # a told range widens what is spread, not the base that is laid
    wide = unbedded(each_material_told_rate_factor=(np.array([1.0, 0.5]), 1.0))
    assert wide.bedding_per_kg[0][0].tolist() == pytest.approx([0.2, 0.1])
    assert wide.base[0].tolist() == pytest.approx([20.0, 20.0])
    assert wide.head_flows[0].components.shape == wide.bedding_per_kg[1].shape == (11, 2)


def test_bedding_is_spread_on_the_days_of_its_period() -> None:
    found = Decision({"fold": {"straw": [2.0, 3.0]}}, {}, {})
    pen = pack.bedded(unbedded(), found, "fold", (STRAW, CHIPS), SEASON)
    assert pen.bedding_kg_day.tolist() == [[2.0] * 8 + [3.0] * 12, [0.0] * 20]
    run = pack.pack("fold", unbedded(), found, (STRAW, CHIPS), SEASON)
    # base 100, ewes 2.5 kg in 128 days of a head, rams 3.8 in 40, straw 16 + 36; no water leaves a dry bed
    assert float(run.mass_kg[-1, 0] + run.drained_kg.sum()) == pytest.approx(100.0 + 320.0 + 152.0 + 52.0)


def test_carbon_from_what_is_on_hand_by_hand() -> None:
    # carbon: base 35, ewes 0.2 x 128, rams 0.3 x 40 = 72.6 kg; nitrogen: 1 + 5.12 + 2.4 = 8.52 kg
    # at ten to one 12.6 kg of carbon are lacking, 0.25 kg to be had of each kilogram of hay: 50.4 kg
    plenty = decided(300.0)
    assert laid(plenty) == pytest.approx(50.4, abs=0.01)
    assert plenty.missed == "none"
    assert plenty.base_kg == {"fold": {"straw": 100.0}}
    # 150 on hand, of which 15 are kept back: 35 beside the base
    fewer = decided(150.0)
    assert laid(fewer) == pytest.approx(35.0, abs=0.01)
    assert fewer.short["carbon"] == pytest.approx(12.6 - 0.25 * 35.0, abs=0.01)
    assert (fewer.carbon_bought_kg, fewer.mend_kg) == (pytest.approx(0.0, abs=1e-2), 0.0)  # none is for sale


@pytest.mark.parametrize("goal", [12.0, 14.0])
def test_losses_are_fed_back_until_the_season_ends_at_the_goal(goal: float) -> None:
    pen = unbedded(each_material_bedding_per_kg=(HAY,), each_material_told_rate_factor=(1.0,),
                   each_material_material_locks_nitrogen=(True,), supplies=(STRAW,),
                   pack_parameters=parameters(area_m2=20.0))  # fmt: skip
    need = replace(NEED, goal_c_to_n=goal)
    found = decided(3e4, each_pen_unbedded=(pen,), each_pen_bed_need=(need,))
    run = simulate(pack.bedded(pen, found, "fold", (STRAW,), SEASON), 1)
    # a first guess of the losses alone ends at 12.28 and 14.31
    assert float(run.c_to_n[-1, 0]) == pytest.approx(goal, rel=1e-3)


def test_what_to_buy_by_hand() -> None:
    sold = replace(STRAW, for_sale=True, most_to_buy_kg=500.0)
    # 30 kg beside the base, 20 asked for by practice: nothing to buy but for carbon, 50.4 less 30
    lean = decided(130.0, sold)
    assert lean.buy_kg["straw"] == pytest.approx(0.0, abs=0.01)
    assert lean.carbon_bought_kg == pytest.approx(20.4, abs=0.02)
    assert lean.mend_kg == 0.0
    # ten short of practice: bought with a tenth more, where so much is for sale
    assert decided(110.0, sold).buy_kg["straw"] == pytest.approx(11.0, abs=0.01)
    assert decided(110.0, sold).carbon_bought_kg == pytest.approx(30.4, abs=0.02)
    assert decided(110.0, replace(sold, most_to_buy_kg=10.5)).buy_kg["straw"] == pytest.approx(10.5, abs=0.01)
    assert decided(110.0, replace(sold, most_to_buy_kg=None)).buy_kg["straw"] == pytest.approx(11.0, abs=0.01)
    # six for sale: four more would make it clean
    few = decided(110.0, replace(sold, most_to_buy_kg=6.0))
    assert few.missed == "clean"
    assert few.mend_kg == pytest.approx(4.0, abs=0.02)
    assert decided(110.0).mend_kg == pytest.approx(10.0, abs=0.02)
    late = decided(300.0, replace(STRAW, first_day=8))
    assert late.rates["fold"]["straw"][0] == 0.0
    heap_only = decided(300.0, replace(STRAW, bedding=False))
    assert heap_only.rates == {"fold": {}}


def test_the_keeper_s_rates_by_need_and_date() -> None:
    byre = replace(NEED, pen="byre", periods=tuple(replace(p, least=3.0) for p in NEED.periods))

    def told(*needs: PenNeed, **line: Any) -> list[list[float]]:
        rates = decided(
            0.0, told_bedding=(Addition.model_validate({"material": "straw", "rate": "40 kg/day"} | line),),
            each_pen_pen_key=("fold", "byre"), each_pen_bed_need=needs, base_keys=("straw", "straw"),
            each_pen_base_kg=(1.0, 2.0),
        ).rates  # fmt: skip
        return [rates["fold"]["straw"], rates["byre"]["straw"]]

    assert told(NEED, byre) == [[10.0, 10.0], [30.0, 30.0]]
    idle = [replace(n, periods=tuple(replace(p, least=0.0) for p in n.periods)) for n in (NEED, byre)]
    assert told(*idle) == [[20.0, 20.0], [20.0, 20.0]]
    assert told(NEED, byre, pen="byre") == [[0.0, 0.0], [40.0, 40.0]]
    # from the fifth of November (the fifth day) to the twelfth: four days of eight, three of twelve
    part = told(NEED, byre, pen="fold", **{"from": "2026-11-05", "to": "2026-11-12"})
    assert part == [pytest.approx([20.0, 10.0]), [0.0, 0.0]]


def test_what_is_kept_before_and_after_a_run() -> None:
    usual = replace(unbedded(), parameters=parameters())
    # 0.006 a day for half of twenty days, half of it quick: 3 % eaten; a quarter of the nitrogen lost
    assert pack._kept_guess(NEED, usual) == pytest.approx((0.97, 0.25))
    fast = replace(usual, parameters=parameters(quick_decay_per_day=0.9))
    assert pack._kept_guess(NEED, fast)[0] == 0.5
    run: PackRun = simulate(usual, 1)
    run.carbon_in_kg, run.carbon_lost_kg = np.array([80.0]), np.array([20.0])
    run.excreted_nitrogen_kg, run.nitrogen_lost_kg = np.array([10.0]), np.array([3.0])
    assert pack._kept_of(usual, run, (0.9, 0.1)) == pytest.approx((0.75, 0.3))
    run.carbon_in_kg = run.excreted_nitrogen_kg = np.array([0.0])
    assert pack._kept_of(usual, run, (0.9, 0.1)) == (0.9, 0.1)
    # 128 days of an ewe and 40 of a ram excrete 3.84 + 2 kg of nitrogen
    assert pack._brought(usual) == pytest.approx((72.6, 8.52, 5.84))
    needs, (option,) = pack._terms(
        (replace(STRAW, price_kg=None),), ("fold",), (NEED,), [usual], {"fold": {"straw": 7.0}}, [(0.5, 0.25)],
        (np.array([9.0, 1.0]),), (np.array([1.5, 9.0]),), (HAY,),
    )  # fmt: skip
    assert (needs[0].end_carbon, needs[0].end_nitrogen) == pytest.approx((36.3, 8.52 - 1.46))
    assert (option.dry_share, option.soaks_up, option.nitrogen, option.on_hand_kg) == pytest.approx(
        (0.8, 1.5, 0.01, 9.0)
    )
    assert option.carbon_kept == {"fold": pytest.approx((0.175, 0.175))}
    assert (option.can_buy_kg, option.first_day, option.price_kg) == (0.0, 0, 0.1)
    priced = (replace(STRAW, price_kg=0.07, for_sale=True, most_to_buy_kg=40.0),)
    _, (told,) = pack._terms(
        priced, ("fold",), (NEED,), [usual], {"fold": {"straw": 7.0}}, [(0.5, 0.25)], (9.0,), (1.5,), (HAY,)
    )
    assert (told.can_buy_kg, told.price_kg) == (40.0, 0.07)


def test_the_decision_looks_at_the_typical_draw() -> None:
    two = np.array([1.0, 9.0])
    wide = unbedded(
        each_material_told_rate_factor=(two, 1.0), each_group_count_factor=(two, 1.0), rain_on_bed=two,
        evaporation_by_day=[two] * 20, ammonia_warmth_by_day=[two] * 20, solids_density=1500.0 * two,
        water_density=1000.0 * two, pack_air_share=0.1 * two, base_trodden_per_day=0.1 * two, base_kg=100.0 * two,
        laid_base_depth_m=0.02 * two, pack_parameters=replace(LOSSLESS, area_m2=20.0 * two),
    )  # fmt: skip
    narrow = pack._at_typical(wide)
    for part in fields(narrow.parameters):
        assert isinstance(getattr(narrow.parameters, part.name), float)
    assert {b.shape for b in (narrow.base, *narrow.bedding_per_kg)} == {(11, 1)}
    assert {f.components.shape for f in narrow.head_flows} == {(11, 1)}
    assert float(narrow.base[0, 0]) == pytest.approx(20.0)
    assert narrow.base_air_share == pytest.approx(1.0 - (0.08 / 1.5 + 0.02) / 0.4)
    plain = (narrow.rain_kg_m2, narrow.solids_density_kg_m3, narrow.air_share, *narrow.count_factor)
    assert plain == (1.0, 1500.0, 0.1, 1.0, 1.0)
    assert list(narrow.ammonia_warmth) == list(narrow.evaporation_kg_m2) == [1.0] * 20
