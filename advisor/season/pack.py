"""The pack of each pen: the bedding decided, then the season run with it, for all draws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from advisor.farm.model import Addition
from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers, typical
from advisor.season.bed import Supply
from advisor.season.decide import Decision, Option, PenNeed, decide
from advisor.season.simulate import HeadFlow, PackRun, PenSeason, simulate
from advisor.season.step import CARBON_QUICK, CARBON_SLOW, NITROGEN, Parameters
from advisor.season.timeline import Timeline

__all__ = ["bedding_decision", "pack"]

Value = Numbers | float
_ROUNDS = 3


@derive("pen", "", "everything that happens in the pen but the bedding")
def unbedded(
    timeline: Timeline,
    group_keys: tuple[str, ...],
    each_group_bed_flow: tuple[HeadFlow, ...],
    each_group_count_factor: tuple[Value, ...],
    each_material_bedding_per_kg: tuple[Numbers, ...],
    each_material_told_rate_factor: tuple[Value, ...],
    each_material_material_locks_nitrogen: tuple[bool, ...],
    evaporation_by_day: list[Value],
    ammonia_warmth_by_day: list[Value],
    rain_on_bed: Value,
    pack_parameters: Parameters,
    solids_density: Value,
    water_density: Value,
    pack_air_share: Value,
    base_trodden_per_day: Value,
    base_kg: Value,
    base_key: str,
    laid_base_depth_m: Value,
    area_m2: Value,
    supplies: tuple[Supply, ...],
) -> PenSeason:
    """Heads, daily flows, weather and base of a pen, with no bedding added yet.

    The base's own air share is what its depth as laid leaves beside its solids and water. Where the keeper
    told a range for a rate, what each kilogram brings is drawn wider by it.
    """
    spread = tuple(
        kg * f for kg, f in zip(each_material_bedding_per_kg, each_material_told_rate_factor, strict=True)
    )
    draws = _draws(each_group_bed_flow, spread)
    flows = tuple(replace(f, components=_wide(f.components, draws)) for f in each_group_bed_flow)
    per_kg = tuple(_wide(b, draws) for b in each_material_bedding_per_kg)
    number = [s.key for s in supplies].index(base_key)
    base = per_kg[number] * base_kg
    solid_m3 = (base[1] + base[2] + base[3]) / solids_density + base[0] / water_density
    laid_m3 = np.maximum(laid_base_depth_m * area_m2, 1e-9)
    return PenSeason(
        heads=np.array([timeline.heads[key] for key in group_keys]),
        head_flows=flows,
        bedding_kg_day=np.zeros((len(supplies), timeline.days)),
        bedding_per_kg=tuple(_wide(b, draws) for b in spread),
        locks_nitrogen=each_material_material_locks_nitrogen,
        base=base,
        base_depth_m=laid_base_depth_m,
        evaporation_kg_m2=evaporation_by_day,
        rain_kg_m2=rain_on_bed,
        parameters=pack_parameters,
        solids_density_kg_m3=solids_density,
        water_density_kg_m3=water_density,
        air_share=pack_air_share,
        base_air_share=np.where(
            solid_m3 > 0.0, np.clip(1.0 - solid_m3 / laid_m3, 0.0, 0.995), pack_air_share
        ),
        base_trodden_per_day=base_trodden_per_day,
        ammonia_warmth=ammonia_warmth_by_day,
        count_factor=each_group_count_factor,
    )


@derive("farm", "", "bedding to add, by pen, material and period")
def bedding_decision(
    timeline: Timeline,
    supplies: tuple[Supply, ...],
    told_bedding: tuple[Addition, ...] | None,
    base_keys: tuple[str, ...],
    each_pen_pen_key: tuple[str, ...],
    each_pen_bed_need: tuple[PenNeed, ...],
    each_pen_unbedded: tuple[PenSeason, ...],
    each_pen_base_kg: tuple[Value, ...],
    each_material_usable_on_hand_kg: tuple[Value, ...],
    each_material_soaks_up_kg_kg: tuple[Value, ...],
    each_material_bedding_per_kg: tuple[Numbers, ...],
    purchase_margin: Value,
) -> Decision:
    """The told rates as they are, or the least amounts that keep the bed dry, then clean, within the
    supply, and last bring the pack to the goal ratio of carbon to nitrogen.

    Solved at typical values; the losses of the simulated season are fed back until the amounts stand.
    """
    base = {
        pen: {key: typical(kg)}
        for pen, key, kg in zip(each_pen_pen_key, base_keys, each_pen_base_kg, strict=True)
    }
    if told_bedding is not None:
        return _as_told(timeline, supplies, told_bedding, each_pen_pen_key, each_pen_bed_need, base)
    plain = [_at_typical(season) for season in each_pen_unbedded]
    kept = [_kept_guess(need, season) for need, season in zip(each_pen_bed_need, plain, strict=True)]
    decision = Decision({}, base, {})
    for _ in range(_ROUNDS):
        needs, options = _terms(
            supplies, each_pen_pen_key, each_pen_bed_need, plain, base, kept,
            each_material_usable_on_hand_kg, each_material_soaks_up_kg_kg, each_material_bedding_per_kg,
        )  # fmt: skip
        decision = decide(needs, options, reserve=typical(purchase_margin))
        runs = [
            simulate(bedded(season, decision, pen, supplies, timeline), 1)
            for season, pen in zip(plain, each_pen_pen_key, strict=True)
        ]
        again = [_kept_of(season, run, k) for season, run, k in zip(plain, runs, kept, strict=True)]
        moved = max(
            abs(a - b) for new, old in zip(again, kept, strict=True) for a, b in zip(new, old, strict=True)
        )
        kept = again
        if moved < 0.01:
            break
    if decision.short.get("carbon"):
        bought = decide(needs, options, buy_for_carbon=True)
        extra = {k: max(0.0, v - decision.buy_kg.get(k, 0.0)) for k, v in bought.buy_kg.items()}
        decision.carbon_bought_kg = sum(extra.values())
    if decision.short.get("dry") or decision.short.get("clean"):
        open_market = [replace(option, can_buy_kg=1e9) for option in options]
        decision.mend_kg = max(
            0.0, sum(decide(needs, open_market).buy_kg.values()) - sum(decision.buy_kg.values())
        )
    most = {o.key: o.can_buy_kg for o in options}
    decision.buy_kg = {
        k: min(v * (1.0 + typical(purchase_margin)), most[k]) for k, v in decision.buy_kg.items()
    }
    return decision


def _as_told(
    timeline: Timeline,
    supplies: tuple[Supply, ...],
    told: tuple[Addition, ...],
    pens: tuple[str, ...],
    needs: tuple[PenNeed, ...],
    base: dict[str, dict[str, float]],
) -> Decision:
    """The keeper's own rates, shared over pens by what each pen needs; evenly where none needs any."""
    total = [sum(n.periods[i].least for n in needs) for i in range(len(timeline.periods))]
    rates: dict[str, dict[str, list[float]]] = {
        pen: {s.key: [0.0] * len(timeline.periods) for s in supplies} for pen in pens
    }
    for line in told:
        for i, period in enumerate(timeline.periods):
            first, last = timeline.date(period.first), timeline.date(period.first + period.days)
            begin, end = max(first, line.from_ or first), min(last, line.to or last)
            share = max(0, (end - begin).days) / period.days
            for pen, need in zip(pens, needs, strict=True):
                if line.pen in ("", pen):
                    part = need.periods[i].least / total[i] if total[i] else 1.0 / len(pens)
                    part = 1.0 if line.pen else part
                    rates[pen][line.material][i] += line.rate.value * share * part
    return Decision(rates, base, {}, given=True)


@derive("pen", "", "the pack through the season")
def pack(
    pen_key: str,
    unbedded: PenSeason,
    bedding_decision: Decision,
    supplies: tuple[Supply, ...],
    timeline: Timeline,
) -> PackRun:
    """Day by day: what falls and is added, less what microbes eat, what dries off, drains and escapes as gas."""
    draws = unbedded.base.shape[1]
    return simulate(bedded(unbedded, bedding_decision, pen_key, supplies, timeline), draws)


def bedded(
    season: PenSeason, decision: Decision, pen: str, supplies: tuple[Supply, ...], timeline: Timeline
) -> PenSeason:
    """The season with the decided amounts spread on its days."""
    daily = np.zeros((len(supplies), timeline.days))
    for row, supply in enumerate(supplies):
        for period, rate in zip(timeline.periods, decision.rates[pen].get(supply.key, ()), strict=False):
            daily[row, period.first : period.first + period.days] = rate
    return replace(season, bedding_kg_day=daily)


def _terms(
    supplies: tuple[Supply, ...],
    pens: tuple[str, ...],
    needs: tuple[PenNeed, ...],
    seasons: list[PenSeason],
    base: dict[str, dict[str, float]],
    kept: list[tuple[float, float]],
    on_hand: tuple[Value, ...],
    soaks: tuple[Value, ...],
    per_kg: tuple[Numbers, ...],
) -> tuple[list[PenNeed], list[Option]]:
    """The linear program's numbers at the present estimate of what is kept of carbon and nitrogen."""
    filled = []
    for pen, need, season, (carbon_kept, nitrogen_lost) in zip(pens, needs, seasons, kept, strict=True):
        carbon, nitrogen, excreted = _brought(season)
        filled.append(
            replace(
                need,
                base_kg=base[pen],
                end_carbon=carbon * carbon_kept,
                end_nitrogen=nitrogen - nitrogen_lost * excreted,
            )
        )
    options = []
    for supply, amount, soak, column in zip(supplies, on_hand, soaks, per_kg, strict=True):
        if not supply.bedding:
            continue
        carbon = float(column[CARBON_QUICK, 0] + column[CARBON_SLOW, 0])
        wet = float(column[0, 0])
        options.append(
            Option(
                key=supply.key,
                dry_share=1.0 - wet,
                soaks_up=typical(soak),
                carbon_kept={
                    pen: tuple(carbon * k for _ in need.periods)
                    for pen, need, (k, _) in zip(pens, needs, kept, strict=True)
                },
                nitrogen=float(column[NITROGEN, 0]),
                on_hand_kg=typical(amount),
                can_buy_kg=(1e9 if supply.most_to_buy_kg is None else supply.most_to_buy_kg)
                if supply.for_sale
                else 0.0,
                price_kg=0.1 if supply.price_kg is None else supply.price_kg,  # only ranks what to buy first
                first_day=supply.first_day,
            )
        )
    return filled, options


def _brought(season: PenSeason) -> tuple[float, float, float]:
    """Carbon and nitrogen of dung, feed and base over the season, and nitrogen excreted. [kg]"""
    carbon = float(season.base[CARBON_QUICK, 0] + season.base[CARBON_SLOW, 0])
    nitrogen, excreted = float(season.base[NITROGEN, 0]), 0.0
    for row, flow in enumerate(season.head_flows):
        days = float(season.heads[row].sum())
        carbon += days * float(flow.components[CARBON_QUICK, 0] + flow.components[CARBON_SLOW, 0])
        nitrogen += days * float(flow.components[NITROGEN, 0])
        excreted += days * typical(flow.nitrogen)
    return carbon, nitrogen, excreted


def _kept_guess(need: PenNeed, season: PenSeason) -> tuple[float, float]:
    """A first estimate of (carbon kept, share of excreted nitrogen lost), before any simulation."""
    days = season.heads.shape[1]
    return 1.0 - min(0.5, 0.5 * typical(season.parameters.quick_decay_per_day) * days / 2), typical(
        season.parameters.nitrogen_loss_share
    )


def _kept_of(season: PenSeason, run: PackRun, before: tuple[float, float]) -> tuple[float, float]:
    """(carbon kept, share of excreted nitrogen lost) in a simulated season."""
    carbon_in, excreted = float(run.carbon_in_kg[0]), float(run.excreted_nitrogen_kg[0])
    return (
        1.0 - float(run.carbon_lost_kg[0]) / carbon_in if carbon_in else before[0],
        float(run.nitrogen_lost_kg[0]) / excreted if excreted else before[1],
    )


def _at_typical(season: PenSeason) -> PenSeason:
    """The season with typical values only: what the linear program is solved on."""
    p = season.parameters
    numbers = {
        name: typical(value) if isinstance(value, np.ndarray) else value for name, value in vars(p).items()
    }
    return replace(
        season,
        head_flows=tuple(
            HeadFlow(f.components[:, :1], typical(f.nitrogen), typical(f.tan)) for f in season.head_flows
        ),
        bedding_per_kg=tuple(b[:, :1] for b in season.bedding_per_kg),
        base=season.base[:, :1],
        base_depth_m=typical(season.base_depth_m),
        evaporation_kg_m2=[typical(v) for v in season.evaporation_kg_m2],
        rain_kg_m2=typical(season.rain_kg_m2),
        parameters=Parameters(**numbers),
        solids_density_kg_m3=typical(season.solids_density_kg_m3),
        water_density_kg_m3=typical(season.water_density_kg_m3),
        air_share=typical(season.air_share),
        base_air_share=typical(season.base_air_share),
        base_trodden_per_day=typical(season.base_trodden_per_day),
        ammonia_warmth=[typical(v) for v in season.ammonia_warmth],
        count_factor=tuple(typical(v) for v in season.count_factor),
    )


def _draws(flows: tuple[HeadFlow, ...], per_kg: tuple[Numbers, ...]) -> int:
    widths: list[int] = [f.components.shape[1] for f in flows] + [b.shape[1] for b in per_kg]
    return max(widths)


def _wide(layer: Numbers, draws: int) -> Numbers:
    """A layer array spread to the full number of draws."""
    return layer if layer.shape[1] == draws else np.repeat(layer, draws, axis=1)
