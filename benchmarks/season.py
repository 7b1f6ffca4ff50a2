"""How fast the season runs: against a bare numpy loop, over days and draws, and a thousand farms in a row.

    python benchmarks/season.py [--farms N]

Times are CPU seconds of this process, so that other work on the machine counts as little as can be.
"""

from __future__ import annotations

import argparse
import datetime as dt
import statistics
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from advisor.farm import read_farm_text
from advisor.knowledge import knowledge
from advisor.plan.make import make_plan
from advisor.season.simulate import HeadFlow, PackRun, PenSeason, simulate
from advisor.season.step import Parameters

GOAL_RATIO, GOAL_FARMS_S = 1.5, 300.0


def season(days: int, draws: int, groups: int = 3, materials: int = 4) -> PenSeason:
    """A pen in which every day differs, so that no day's sums can be used for another."""
    chance = np.random.Generator(np.random.PCG64(7))

    def around(value: float) -> np.ndarray:
        return value * chance.uniform(0.8, 1.2, draws)

    def dung() -> HeadFlow:
        rows = (35.0, 0.7, 1.9, 2.3, 1.0, 1.2, 0.2, 0.1, 0.04, 0.15, 26.0)
        components = np.array([around(row) for row in rows])
        return HeadFlow(components, components[6], components[7])

    straw = (0.13, 0.06, 0.33, 0.48, 0.16, 0.24, 0.005, 0.0, 0.001, 0.01, 1.6)
    per_kg = tuple(np.array([around(row) for row in straw]) for _ in range(materials))
    number: dict[str, Any] = {
        "area_m2": 120.0, "quick_decay_per_day": around(0.006), "slow_decay_per_day": around(0.0004),
        "passed_down_per_day": around(0.1), "nitrogen_loss_share": around(0.25), "nitrogen_loss_low": 0.1,
        "nitrogen_loss_high": 0.4, "ammonia_share_of_tan": around(0.12), "c_to_n_effect": around(0.2),
        "c_to_n_from": 15.0,
        "c_to_n_to": 35.0, "nitrogen_locked_kg_kg": around(0.0067), "dry_floor_moisture": around(0.12),
        "evaporation_full_moisture": around(0.6),
    }  # fmt: skip
    return PenSeason(
        heads=chance.integers(4, 12, (groups, days)).astype(float),
        head_flows=tuple(dung() for _ in range(groups)),
        bedding_kg_day=chance.uniform(10.0, 40.0, (materials, days)),
        bedding_per_kg=per_kg,
        locks_nitrogen=(True,) * materials,
        base=per_kg[0] * 3000.0,
        base_depth_m=0.3,
        evaporation_kg_m2=[around(1.0) for _ in range(days)],
        rain_kg_m2=around(0.1),
        parameters=Parameters(**number),
        solids_density_kg_m3=1500.0,
        water_density_kg_m3=1000.0,
        air_share=around(0.15),
        base_air_share=around(0.9).clip(0.0, 0.97),
        base_trodden_per_day=around(0.1),
        count_factor=tuple(around(1.0) for _ in range(groups)),
    )


def bare(s: PenSeason, draws: int) -> tuple[np.ndarray, ...]:
    """The same arithmetic as it would be jotted down for this one case: no types, no caching, no checks."""
    p, days = s.parameters, s.heads.shape[1]
    top, low = s.base.copy(), np.zeros((11, draws))
    wet_series, all_series, ratio, mass, depth, nitrogen, ammonia, drained = (
        np.zeros((days + 1, draws)) for _ in range(8)
    )
    evaporated = carbon_lost = lost = potassium_lost = excreted_all = carbon_in = np.zeros(draws)
    floor = p.dry_floor_moisture / (1 - p.dry_floor_moisture)
    wet = p.evaporation_full_moisture / (1 - p.evaporation_full_moisture)
    for d in range(days):
        added, n_in, tan_in, locks = np.zeros((11, draws)), 0.0, 0.0, 0.0
        for g, flow in enumerate(s.head_flows):
            f = s.heads[g, d] * s.count_factor[g]
            added = added + flow.components * f
            n_in, tan_in = n_in + flow.nitrogen * f, tan_in + flow.tan * f
        for m, kg in enumerate(s.bedding_kg_day[:, d]):
            added = added + s.bedding_per_kg[m] * kg
            locks += kg
        for layer in (top, low):
            solids = layer[2] * p.quick_decay_per_day + layer[3] * p.slow_decay_per_day
            carbon_lost = carbon_lost + layer[4] * p.quick_decay_per_day + layer[5] * p.slow_decay_per_day
            before = layer[2] + layer[3]
            layer[10] *= 1 - np.divide(solids, before, out=np.zeros(draws), where=before > 0)
            layer[2] *= 1 - p.quick_decay_per_day
            layer[4] *= 1 - p.quick_decay_per_day
            layer[3] *= 1 - p.slow_decay_per_day
            layer[5] *= 1 - p.slow_decay_per_day
        top += added
        top[0] += s.rain_kg_m2 * p.area_m2
        both = (top[4] + top[5] + low[4] + low[5]) / (top[6] + low[6])
        factor = 1 + p.c_to_n_effect * (
            1 - 2 * np.clip((both - p.c_to_n_from) / (p.c_to_n_to - p.c_to_n_from), 0, 1)
        )
        total = np.clip(p.nitrogen_loss_share * factor, p.nitrogen_loss_low, p.nitrogen_loss_high) * n_in
        free = np.maximum(tan_in - p.nitrogen_locked_kg_kg * locks, 0)
        gas = np.minimum(np.minimum(p.ammonia_share_of_tan * factor, 1) * free, total)
        top[7] -= np.minimum(total, top[7])
        top[6] -= total
        dry = top[1] + top[2] + top[3]
        rate = s.evaporation_kg_m2[d] * p.area_m2
        off = np.minimum(
            np.maximum(top[0] - dry * floor, 0) * (rate / (dry * np.maximum(wet - floor, 0) + rate)), rate
        )
        top[0] -= off
        excess = np.maximum(top[0] - top[10], 0)
        top[0] -= excess
        low[0] += excess
        moved = top * p.passed_down_per_day
        top -= moved
        low += moved
        out = np.maximum(low[0] - low[10], 0)
        gone = low[9] * np.divide(out, low[0], out=np.zeros(draws), where=low[0] > 0)
        low[0] -= out
        low[9] -= gone
        whole = top + low
        dry, all_dry = top[1] + top[2] + top[3], whole[1] + whole[2] + whole[3]
        air = s.air_share + (s.base_air_share - s.air_share) * np.exp(-s.base_trodden_per_day * (d + 1))
        volume = (all_dry / s.solids_density_kg_m3 + whole[0] / s.water_density_kg_m3) / (1 - air)
        wet_series[d + 1], all_series[d + 1] = top[0] / (top[0] + dry), whole[0] / (whole[0] + all_dry)
        ratio[d + 1], mass[d + 1] = (whole[4] + whole[5]) / whole[6], whole[0] + all_dry
        depth[d + 1], nitrogen[d + 1] = volume / p.area_m2, whole[6]
        ammonia[d + 1], drained[d + 1] = gas, out
        evaporated, lost, potassium_lost = evaporated + off, lost + total, potassium_lost + gone
        excreted_all, carbon_in = excreted_all + n_in, carbon_in + added[4] + added[5]
    return wet_series, all_series, ratio, mass, depth, nitrogen, ammonia, drained


def cpu(work: Callable[[], object], times: int = 5) -> float:
    """Least CPU seconds of several runs: the one least disturbed."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken)


def against_bare(days: int = 200, draws: int = 2000) -> float:
    """CPU of the season over that of the bare loop, once both are seen to agree."""
    case = season(days, draws)
    run, plain = simulate(case, draws), bare(case, draws)
    for name, expected in zip(PackRun.__dataclass_fields__, plain, strict=False):
        found = getattr(run, name)
        assert np.allclose(found[1:], expected[1:], rtol=1e-9), name
    ratios = [cpu(lambda: simulate(case, draws), 1) / cpu(lambda: bare(case, draws), 1) for _ in range(9)]
    ratio = statistics.median(ratios)
    print(f"{days} days, {draws} draws: season {cpu(lambda: simulate(case, draws)):.3f} s, "
          f"bare loop {cpu(lambda: bare(case, draws)):.3f} s, ratio {ratio:.2f} (goal {GOAL_RATIO})")  # fmt: skip
    return ratio


def curve() -> None:
    """CPU against days and against draws, and how straight the lines are."""
    for name, cases in (
        ("days", [(d, 1000) for d in (25, 50, 100, 200, 400)]),
        ("draws", [(100, n) for n in (500, 1000, 2000, 4000, 8000)]),
    ):
        print(f"\nCPU against {name}")
        for days, draws in cases:
            case = season(days, draws)
            taken = cpu(lambda case=case, draws=draws: simulate(case, draws), 3)
            each = 1e9 * taken / days / draws
            print(
                f"  {days:4} days {draws:5} draws  {1e3 * taken:8.1f} ms  {each:6.1f} ns a day and draw  "
                + "#" * round(100 * taken)
            )


FARM = """
start: 2026-11-01
days: {days}
temperature: {temperature}
groups:
  - {{id: a, class: {kind}, count: {count}, weight: {weight} kg}}
  - {{id: b, class: ewe, count: {ewes}, pen: second}}
pens:
  - {{id: first, area: {area} m2}}
  - {{id: second, area: 90 m2}}
materials:
  - {{name: wheat straw, amount: {straw} t}}
  - {{name: wood chips, volume: {chips} m3}}
"""


def farms(number: int, draws: int = 1000) -> float:
    """CPU seconds a farm, for so many different farms planned in one process."""
    held, today = knowledge(), dt.date(2026, 10, 20)
    chance = np.random.Generator(np.random.PCG64(11))
    start, wall = time.process_time(), time.perf_counter()
    for _ in range(number):
        text = FARM.format(
            days=int(chance.integers(60, 200)), temperature=int(chance.integers(-8, 10)),
            kind=("beef cow", "dairy cow")[int(chance.integers(2))], count=int(chance.integers(3, 20)),
            weight=int(chance.integers(500, 700)), ewes=int(chance.integers(10, 40)),
            area=int(chance.integers(80, 300)), straw=int(chance.integers(2, 60)), chips=int(chance.integers(1, 40)),
        ).replace("count: ", "pen: first, count: ", 1)  # fmt: skip
        make_plan(read_farm_text(text, held), held, today, draws)
    taken = (time.process_time() - start) / number
    print(f"\n{number} different farms, {draws} draws: {1e3 * taken:.0f} ms of CPU each "
          f"({1e3 * (time.perf_counter() - wall) / number:.0f} ms by the clock); "
          f"a thousand take {1000 * taken:.0f} s (goal {GOAL_FARMS_S:.0f} s)")  # fmt: skip
    return taken


if __name__ == "__main__":
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument(
        "--farms", type=int, default=40, help="how many farms to plan (1000 for the whole goal)"
    )
    chosen = options.parse_args()
    against_bare()
    curve()
    farms(chosen.farms)
