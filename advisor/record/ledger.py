"""The recorded days as they were: heads on the bed, what was put on it, and what is left of the supply.

Everything here is a sum over entries, so the order in which they were told cannot matter.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from advisor.farm.model import Farm, Measure
from advisor.knowledge import Knowledge
from advisor.reasoning.draws import Draws, Numbers, typical
from advisor.reasoning.engine import Engine
from advisor.record.entries import Bedding, Bought, Grass, Heads, Incident, Rain, Record, Stock
from advisor.record.ready import group_of, supply_of
from advisor.season.bed import Supply
from advisor.season.simulate import PenSeason
from advisor.season.step import COMPONENTS, HOLDING, WATER
from advisor.season.timeline import Timeline

__all__ = ["Gap", "Ledger", "Row", "amount_kg", "keep_ledger", "recorded_heads", "with_rows"]

Value = Numbers | float


@dataclass(frozen=True)
class Row:
    """Something put on a bed on some days: what a kilogram of it brings, and kilograms by day."""

    pen: str
    key: str  # of the supply; empty for water
    per_kg: Numbers
    kg_by_day: NDArray[np.float64]
    locks: bool = False
    factor: Value = 1.0  # drawn kilograms over typical kilograms


@dataclass(frozen=True)
class Gap:
    """A stretch in which no bedding was noted."""

    pen: str
    first: dt.date
    days: int


@dataclass
class Ledger:
    """What was noted up to today, by day of the season."""

    until: int  # the first day that is still to come: today, or tomorrow where today was bedded
    rows: list[Row] = field(default_factory=list)
    gaps: list[Gap] = field(default_factory=list)
    frozen: list[tuple[int, int]] = field(default_factory=list)
    bought_kg: dict[str, Value] = field(default_factory=dict)
    left_kg: dict[str, Value] = field(default_factory=dict)  # today, of each bedding supply
    before_start: int = (
        0  # entries of bedding that are the base: the first layer, or from before the animals came
    )

    def used_by_day(self, pen: str, key: str, days: int) -> NDArray[np.float64]:
        """Typical kilograms of a supply put in a pen on each day."""
        total = np.zeros(days)
        for row in self.rows:
            if row.pen == pen and row.key == key:
                total += row.kg_by_day[:days]
        return total

    def used_kg(self, key: str) -> Value:
        """Kilograms of a supply used in all pens."""
        return sum((row.factor * float(row.kg_by_day.sum()) for row in self.rows if row.key == key), 0.0)


def recorded_heads(
    season: Timeline, farm: Farm, record: Record, knowledge: Knowledge
) -> dict[str, NDArray[np.float64]]:
    """Heads of each group on each day of the season, as planned and then as noted.

    A count is first turned into a change against what was there; a count goes before changes of its day.
    """
    heads = {key: values.copy() for key, values in season.heads.items()}
    entries = [entry for entry in record if isinstance(entry, Heads)]
    for entry in sorted(entries, key=lambda e: (e.date, e.count is None, e.id)):
        group = group_of(entry.group, entry.pen, farm, knowledge)
        if group is None:
            continue
        if group.in_ == entry.date and group.count == (entry.count or entry.change):
            continue  # the entry that brought the group in
        day = max(0, (entry.date - season.start).days)
        if day >= season.days:
            continue
        values = heads[group.id]
        change = entry.count - values[day] if entry.count is not None else float(entry.change or 0)
        gone = values[day:] <= 0.0
        values[day:] = np.where(gone & (change < 0), 0.0, np.maximum(0.0, values[day:] + change))
    out = {key: np.ones(season.days) for key in heads}
    for away in record:
        if not isinstance(away, Grass):
            continue
        first = (away.date - season.start).days
        last = first + away.days
        named = group_of(away.group, away.pen, farm, knowledge) if away.group else None
        for group in farm.groups:
            if (named is None and away.pen in ("", group.pen)) or (named and named.id == group.id):
                part = out[group.id][max(0, first) : max(0, last)]
                np.minimum(part, 1.0 - away.share, out=part)
    return {key: values * out[key] for key, values in heads.items()}


def keep_ledger(
    engine: Engine,
    farm: Farm,
    record: Record,
    knowledge: Knowledge,
    today: dt.date,
    plan: Mapping[str, NDArray[np.float64]],
) -> Ledger:
    """Sum the record up. `plan` holds, for each pen, the planned kilograms of each supply on each day: what is
    taken, in part, where nothing was noted."""
    season: Timeline = engine.value("timeline")
    supplies: tuple[Supply, ...] = engine.value("supplies")
    passed = (today - season.start).days
    bedded = any(
        isinstance(e, Bedding) and e.date <= today < e.date + dt.timedelta(days=e.days) for e in record
    )
    until = min(max(0, passed + bedded), season.days)
    ledger = Ledger(until)
    shares = _pen_shares(engine, farm)
    noted: dict[str, set[int]] = {pen.id: set() for pen in farm.pens}
    for entry in record:
        first = (entry.date - season.start).days
        if isinstance(entry, Incident) and entry.what == "frozen":
            ledger.frozen.append((max(0, first), min(season.days, first + entry.days)))
        if isinstance(entry, Rain):
            _add_water(ledger, engine, farm, entry, first, until)
        if isinstance(entry, Bought):
            key = supplies[_place(entry.material, farm, knowledge)].key
            ledger.bought_kg[key] = (
                ledger.bought_kg.get(key, 0.0) + amount_kg(entry, engine, farm, knowledge)[0]
            )
        if not isinstance(entry, Bedding):
            continue
        if first + entry.days <= 0 or entry.base:
            ledger.before_start += 1
            continue
        supply = supplies[_place(entry.material, farm, knowledge)]
        kg, typical_kg = amount_kg(entry, engine, farm, knowledge)
        factor: Value = kg / typical_kg if typical_kg > 0 else 1.0
        per_kg = _per_kg(engine, supply, entry)
        for pen, share in shares.items():
            if entry.pen not in ("", pen):
                continue
            by_day = np.zeros(season.days)
            by_day[max(0, first) : max(0, min(first + entry.days, until))] = typical_kg * (
                1.0 if entry.pen else share
            )
            noted[pen] |= set(range(max(0, first), min(first + entry.days, until)))
            locks = bool(engine.value("material_locks_nitrogen", ("material", supply.key)))
            ledger.rows.append(Row(pen, supply.key, per_kg * factor, by_day, locks, factor))
    _fill_gaps(ledger, engine, season, supplies, until, noted, plan)
    _count_stock(ledger, engine, farm, record, knowledge, supplies, season)
    return ledger


def with_rows(season: PenSeason, ledger: Ledger, pen: str) -> PenSeason:
    """The pen's season with the recorded rows beside its own materials."""
    rows = [row for row in ledger.rows if row.pen == pen]
    days = season.heads.shape[1]
    draws = season.base.shape[1]
    added = np.zeros((len(rows), days))
    for number, row in enumerate(rows):
        added[number] = row.kg_by_day[:days]
    return replace(
        season,
        bedding_kg_day=np.concatenate([season.bedding_kg_day, added]),
        bedding_per_kg=(*season.bedding_per_kg, *(_wide(row.per_kg, draws) for row in rows)),
        locks_nitrogen=(*season.locks_nitrogen, *(row.locks for row in rows)),
    )


def amount_kg(
    entry: Bedding | Bought | Stock, engine: Engine, farm: Farm, knowledge: Knowledge
) -> tuple[Value, float]:
    """Kilograms of one day's amount: as drawn, and the typical value."""
    place = _place(entry.material, farm, knowledge)
    key = engine.value("supplies")[place].key
    if entry.packs is not None:
        one = _one_pack(entry.material, entry.pack, place, key, engine, farm, knowledge)
        return entry.packs * one, entry.packs * typical(one)
    if entry.mass is not None:
        drawn = drawn_measure(entry.mass, f"entry:{entry.id}", engine.draws)
        return drawn, typical(drawn)
    assert entry.volume is not None
    drawn = drawn_measure(entry.volume, f"entry:{entry.id}", engine.draws)
    mass = drawn * engine.value("stored_density_kg_m3", ("material", key))
    return mass, typical(mass)


def drawn_measure(measure: Measure, name: str, draws: Draws) -> Value:
    """A told amount; drawn where a range was told."""
    return draws.triangular(name, measure.low, measure.value, measure.high)


def _one_pack(
    material: str, pack: str | None, place: int, key: str, engine: Engine, farm: Farm, knowledge: Knowledge
) -> Value:
    """What one weighs: as told for the supply, else that of the kind named, else of the usual kind."""
    supply, packs = farm.materials[place], knowledge.materials[material].packs
    told = supply.pack_mass is not None or (supply.packs is not None and supply.pack in packs)
    if told and pack in (None, supply.pack):
        mass: Value = engine.value("bale_mass_kg", ("material", key))
        return mass
    kind = (
        pack
        if pack in packs
        else supply.pack
        if supply.pack in packs
        else knowledge.questions["bale_kind"].usual
    )
    found = packs.get(kind or "") or next(iter(packs.values()), None)
    if found is None or found.mass is None:
        return 0.0
    figure = found.mass
    return engine.draws.triangular(f"pack:{material}:{found.name}", figure.low, figure.value, figure.high)


def _per_kg(engine: Engine, supply: Supply, entry: Bedding) -> Numbers:
    """What a kilogram brings; where it was wet, less dry matter and more water, holding what dry matter can."""
    usual: Numbers = engine.value("bedding_per_kg", ("material", supply.key))
    if entry.moisture is None and not entry.wet:
        return usual
    if entry.moisture is not None:
        water = drawn_measure(entry.moisture, f"moisture:{entry.id}", engine.draws)
    else:
        water = engine.value("wet_bedding_moisture")
    water = np.atleast_1d(np.asarray(water, dtype=float))
    dry = np.asarray((1.0 - water) / np.maximum(1.0 - usual[WATER], 1e-9))
    changed: Numbers = usual * np.ones((COMPONENTS, max(usual.shape[1], water.size))) * dry
    changed[WATER] = water
    changed[HOLDING] = np.maximum(usual[HOLDING] * dry, water)
    return changed


def _add_water(ledger: Ledger, engine: Engine, farm: Farm, entry: Rain, first: int, until: int) -> None:
    if not 0 <= first < until:
        return
    pens = [pen for pen in farm.pens if entry.pen in ("", pen.id)]
    for pen in pens:
        area = engine.value("area_m2", ("pen", pen.id))
        if entry.rain is not None:  # a millimetre is a kilogram on a square metre
            kg = drawn_measure(entry.rain, f"entry:{entry.id}", engine.draws) * area
        else:
            assert entry.volume is not None
            litres = drawn_measure(entry.volume, f"entry:{entry.id}", engine.draws)
            kg = litres * engine.value("water_density") / len(pens)
        one = typical(kg)
        if one <= 0:
            continue
        factor = np.atleast_1d(np.asarray(kg, dtype=float)) / one
        per_kg = np.zeros((COMPONENTS, factor.size))
        per_kg[WATER] = factor
        by_day = np.zeros(engine.value("timeline").days)
        by_day[first] = one
        ledger.rows.append(Row(pen.id, "", per_kg, by_day))


def _fill_gaps(
    ledger: Ledger,
    engine: Engine,
    season: Timeline,
    supplies: tuple[Supply, ...],
    until: int,
    noted: dict[str, set[int]],
    plan: Mapping[str, NDArray[np.float64]],
) -> None:
    """Long stretches without a note get a share of the plan, widely drawn: not noted is not the same as none."""
    longest = round(typical(engine.value("record_gap_days")))
    share = engine.value("unrecorded_bedding_share")
    one = typical(share)
    for pen, days in noted.items():
        before = -1
        for after in (*sorted(days), until):
            first, length, before = before + 1, after - before - 1, after
            if length <= longest:
                continue
            ledger.gaps.append(Gap(pen, season.date(first), length))
            wanted = plan[pen][:, first : first + length]
            for number, supply in enumerate(supplies):
                if not wanted[number].any():
                    continue
                by_day = np.zeros(season.days)
                by_day[first : first + length] = wanted[number] * one
                factor: Value = share / one
                per_kg = engine.value("bedding_per_kg", ("material", supply.key)) * factor
                locks = bool(engine.value("material_locks_nitrogen", ("material", supply.key)))
                ledger.rows.append(Row(pen, supply.key, per_kg, by_day, locks, factor))


def _count_stock(
    ledger: Ledger,
    engine: Engine,
    farm: Farm,
    record: Record,
    knowledge: Knowledge,
    supplies: tuple[Supply, ...],
    season: Timeline,
) -> None:
    """What is left of each supply: what there was and came, less the base and what was used.

    A count of what is left starts the sum afresh from its day.
    """
    for number, supply in enumerate(supplies):
        counts = [
            e for e in record if isinstance(e, Stock) and supply_of(e.material, farm, knowledge) == number
        ]
        if counts:
            count = counts[-1]
            left, since = amount_kg(count, engine, farm, knowledge)[0], count.date
        else:
            left, since = engine.value("usable_on_hand_kg", ("material", supply.key)), None
            for pen in farm.pens:
                if engine.value("base_key", ("pen", pen.id)) == supply.key:
                    left = left - engine.value("base_kg", ("pen", pen.id))
        for entry in record:
            later = isinstance(entry, Bought) and (since is None or entry.date > since)
            if later and isinstance(entry, Bought) and supply_of(entry.material, farm, knowledge) == number:
                left = left + amount_kg(entry, engine, farm, knowledge)[0]
        start = 0 if since is None else max(0, (since - season.start).days + 1)
        for row in ledger.rows:
            if row.key == supply.key:
                left = left - row.factor * float(row.kg_by_day[start:].sum())
        ledger.left_kg[supply.key] = (
            np.maximum(left, 0.0) if isinstance(left, np.ndarray) else max(0.0, float(left))
        )


def _pen_shares(engine: Engine, farm: Farm) -> dict[str, float]:
    """How bedding that names no pen is shared: as the practised rates of the animals at full number go."""
    if len(farm.pens) == 1:
        return {farm.pens[0].id: 1.0}
    least = {pen.id: typical(engine.value("pen_least_bedding_kg_day", ("pen", pen.id))) for pen in farm.pens}
    total = sum(least.values())
    return {pen: (kg / total if total > 0 else 1.0 / len(least)) for pen, kg in least.items()}


def _place(material: str, farm: Farm, knowledge: Knowledge) -> int:
    place = supply_of(material, farm, knowledge)
    assert place is not None, "the farm was made ready for the record"
    return place


def _wide(layer: Numbers, draws: int) -> Numbers:
    return layer if layer.shape[1] == draws else np.repeat(layer, draws, axis=1)
