"""From a farm as told to facts by subject: what the reasoning starts from."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

from advisor.farm.barred import barred
from advisor.farm.crops import crop_facts
from advisor.farm.model import Farm, Feed, Group, Measure, Pen
from advisor.farm.model import Supply as ToldSupply
from advisor.knowledge import Figure, Knowledge
from advisor.knowledge.models import Region
from advisor.reasoning.draws import Draws
from advisor.reasoning.engine import Engine, Subject, Told, Topology
from advisor.season.bed import Supply
from advisor.season.timeline import timeline

__all__ = ["complete", "engine_for", "own_rules", "space_rules"]

FARM: Subject = ("farm", "")


def complete(farm: Farm, knowledge: Knowledge) -> Farm:
    """Give every group and pen an id, every group a pen, and the bed something to be made of; drop empty pens."""
    pens = farm.pens or (Pen(id="pen"),)
    pens = tuple(pen if pen.id else pen.model_copy(update={"id": "pen"}) for pen in pens)
    groups: list[Group] = []
    taken: set[str] = set()
    for group in farm.groups:
        name = group.id or group.class_
        number = 2
        while name in taken:
            name, number = f"{group.id or group.class_}_{number}", number + 1
        taken.add(name)
        groups.append(group.model_copy(update={"id": name, "pen": group.pen or pens[0].id}))
    used = {group.pen for group in groups}
    pens = tuple(pen for pen in pens if pen.id in used)
    materials = list(farm.materials)
    out = barred(farm, knowledge)
    beds = (s for s in materials if s.bedding and s.name not in out)
    if not any(knowledge.materials[s.name].kind == "bedding" for s in beds):
        materials.append(ToldSupply(name="straw", for_sale=True))
    bedding = farm.bedding
    if not isinstance(bedding, str):
        bedding = tuple(line for line in bedding if line.material not in out) or "advise"
    return farm.model_copy(
        update={"pens": pens, "groups": tuple(groups), "materials": tuple(materials), "bedding": bedding}
    )


def engine_for(
    farm: Farm, knowledge: Knowledge, today: dt.date, draws: int = 1000, seed: int = 1
) -> tuple[Engine, Farm]:
    """An engine that knows the farm, ready to be asked for any quantity; and the completed farm."""
    import advisor.plan.results  # noqa: F401  registers every derivation
    from advisor.reasoning.derivations import derive

    farm = complete(farm, knowledge)
    usual = knowledge.figures["usual_season_days"].figure
    season = timeline(farm, today, usual.value if usual else 150)
    told: dict[Subject, dict[str, Told]] = {FARM: _farm_facts(farm) | _looked_up_facts(farm, knowledge)}
    out = barred(farm, knowledge)
    supplies: list[Supply] = []
    keys: dict[str, str] = {}
    for number, supply in enumerate(farm.materials):
        key = supply.name if supply.name not in keys else f"{supply.name}_{number}"
        keys[key] = supply.name
        told["material", key] = _supply_facts(supply, knowledge) | _told_rate(farm, key)
        first = (supply.from_date - season.start).days if supply.from_date else 0
        entry = knowledge.materials[supply.name]
        supplies.append(
            Supply(
                key=key,
                material=supply.name,
                price_kg=None if supply.price is None else supply.price / 1000.0,
                for_sale=_for_sale(farm, supply),
                most_to_buy_kg=supply.most_to_buy.value if supply.most_to_buy else None,
                first_day=max(0, first),
                bedding=supply.bedding and entry.kind == "bedding" and supply.name not in out,
            )
        )
    base_key = _base_key(farm, supplies, told, knowledge)
    for pen in farm.pens:
        told["pen", pen.id] = _pen_facts(pen, farm, base_key)
        told["pen", pen.id]["group_keys"] = Told(tuple(g.id for g in farm.groups if g.pen == pen.id))
    for group in farm.groups:
        told["group", group.id] = _group_facts(group)
    topology = Topology(
        group_pen={g.id: g.pen for g in farm.groups},
        group_class={g.id: g.class_ for g in farm.groups},
        pens=tuple(pen.id for pen in farm.pens),
        materials=keys,
    )
    region = knowledge.regions.get(farm.region or "generic")
    given = {
        "timeline": season,
        "supplies": tuple(supplies),
        "told_bedding": None if isinstance(farm.bedding, str) else farm.bedding,
        "base_keys": (base_key,) * len(farm.pens),
        "space_rules": space_rules(farm.region, knowledge),
        "region_entry": region,
        "told_price_grain": farm.prices.grain if farm.prices else None,
        "base_is_told": bool(farm.base and (farm.base.depth or farm.base.mass))
        or "base_depth_m" in farm.facts,
        "goal_c_to_n": (farm.goals.c_to_n_low if farm.goals and farm.goals.c_to_n_low else None)
        or _value(knowledge, "goal_c_to_n_low", 25.0),
    }
    return Engine(knowledge, topology, told, derive, Draws(draws, seed), given), farm


def space_rules(region: str | None, knowledge: Knowledge) -> tuple[Region, ...]:
    """The region's rule set and those it inherits; where the region is not known, every rule set held."""
    named = {name: entry for name, entry in knowledge.regions.items() if name != "generic"}
    if region is None or region == "generic":
        return tuple(named.values())
    return tuple(entry for entry in own_rules(region, knowledge) if entry in named.values())


def own_rules(region: str | None, knowledge: Knowledge) -> tuple[Region, ...]:
    """A region's rule set followed by those it inherits, nearest first."""
    out: list[Region] = []
    name = region
    while name and name in knowledge.regions and knowledge.regions[name] not in out:
        out.append(knowledge.regions[name])
        name = knowledge.regions[name].inherits
    return tuple(out)


def _value(knowledge: Knowledge, figure: str, otherwise: float) -> float:
    entry = knowledge.figures.get(figure)
    return entry.figure.value if entry and entry.figure else otherwise


def _measure(measure: Measure | None) -> Told | None:
    return None if measure is None else Told(measure.value, measure.low, measure.high, measure.said)


def _looked_up(figure: Figure) -> Told:
    return Told(figure.value, figure.low, figure.high, how="looked_up", figure=figure)


def _kept(facts: dict[str, Any]) -> dict[str, Told]:
    """The facts that were told, bare values wrapped."""
    return {
        name: value if isinstance(value, Told) else Told(value)
        for name, value in facts.items()
        if value is not None
    }


def _farm_facts(farm: Farm) -> dict[str, Told]:
    turning = farm.turning
    temperature: Any = farm.temperature
    return _kept(
        {
            "region": farm.region,
            "climate": farm.climate,
            "management": farm.management,
            "winter_temperature": temperature if isinstance(temperature, dict) else _measure(temperature),
            "turned_by": turning.by if turning else None,
            "grain_in_bed": turning.grain if turning else None,
            "pigs_allowed": turning.allowed if turning else None,
            "pigs_nose_ringed": turning.nose_ringed if turning else None,
            "turning_pigs": turning.pigs if turning else None,
            "turning_pig_weight_kg": _measure(turning.pig_weight) if turning else None,
            "shares_pack": list(farm.shares_pack) if farm.shares_pack is not None else None,
            "compost_for": farm.land.use if farm.land else None,
            "land_area_m2": _measure(farm.land.area) if farm.land else None,
            "told_base_kg": _measure(farm.base.mass) if farm.base and not farm.base.depth else None,
            "acceptable_c_to_n_high": Told(farm.goals.c_to_n_high, label="highest carbon to nitrogen wanted")
            if farm.goals and farm.goals.c_to_n_high
            else None,
            "price_nitrogen": farm.prices.nitrogen if farm.prices else None,
            "price_phosphate": farm.prices.phosphate if farm.prices else None,
            "price_potash": farm.prices.potash if farm.prices else None,
            "price_hour": farm.prices.hour if farm.prices else None,
            **{k: _measure(v) if isinstance(v, Measure) else v for k, v in farm.facts.items()},
        }
    )


def _looked_up_facts(farm: Farm, knowledge: Knowledge) -> dict[str, Told]:
    """Figures that hang on the region or on a named material rather than on a subject of the farm."""
    out: dict[str, Told] = {}
    for region in (*own_rules(farm.region, knowledge), *own_rules("generic", knowledge)):
        if "n_per_ha" in region.limits:
            limit = region.limits["n_per_ha"]
            out["nitrogen_limit_kg_ha"] = replace(_looked_up(limit.figure.to("kg/ha")), label=limit.what)
            break
    straw = knowledge.materials["straw"]
    dry = 1.0 - straw.moisture.value
    out["straw_carbon_kg_kg"] = Told(
        straw.carbon.value * dry, how="looked_up", figure=straw.carbon, label="carbon of straw"
    )
    out["straw_nitrogen_kg_kg"] = Told(
        straw.nitrogen.value * dry, how="looked_up", figure=straw.nitrogen, label="nitrogen of straw"
    )
    return out | crop_facts(farm, knowledge)


def _pen_facts(pen: Pen, farm: Farm, base_key: str) -> dict[str, Told]:
    return _kept(
        {
            "pen_key": pen.id,
            "base_key": base_key,
            "area_m2": _measure(pen.area),
            "roof": pen.roof,
            "roofed_share": _measure(pen.roofed_share),
            "floor": pen.floor,
            "passage": pen.passage,
            "gate_height_m": _measure(pen.gate_height),
            "drinker_height_m": _measure(pen.drinker_height),
            "headroom_m": _measure(pen.headroom),
            "winter_rain": _measure(pen.rain),
            "base_depth_m": _measure(farm.base.depth) if farm.base else None,
        }
    )


def _group_facts(group: Group) -> dict[str, Told]:
    own = group.excreta
    low, high = group.count_low or group.count, group.count_high or group.count
    facts = {
        "class_id": group.class_,
        "count": Told(float(group.count), float(min(low, group.count)), float(max(high, group.count))),
        "weight_kg": _measure(group.weight),
        "hours_on_bed": _measure(group.hours_on_bed),
        "feed": group.feed.kind if group.feed else None,
        "feed_on_bed": _lands(group.feed),
        "told_wasted_feed_kg_day": _measure(group.feed.wasted) if group.feed else None,
        "births_due": group.births_due,
        "horned": group.horned,
    }
    if own:
        facts |= {
            name if name == "tan_share" else f"{name}_head_day": _measure(measure)
            for name, measure in (
                ("excreta", own.excreta), ("dry_matter", own.dry_matter), ("volatile_solids", own.volatile_solids),
                ("urine", own.urine), ("nitrogen", own.nitrogen), ("tan_share", own.urine_nitrogen),
                ("phosphorus", own.phosphorus), ("potassium", own.potassium),
            )
        }  # fmt: skip
    return _kept(facts)


def _lands(feed: Feed | None) -> bool | None:
    """Whether feed lands on the bed: as told, else yes where an amount of it was told."""
    if feed is None or feed.on_bed is not None:
        return feed.on_bed if feed else None
    return True if feed.wasted and feed.wasted.value > 0 else None


def _supply_facts(supply: ToldSupply, knowledge: Knowledge) -> dict[str, Told]:
    entry = knowledge.materials[supply.name]
    carbon = _measure(supply.carbon)
    nitrogen = _measure(supply.nitrogen)
    if supply.c_to_n and not nitrogen:
        mean = carbon.value if carbon else entry.carbon.value
        nitrogen = Told(mean / supply.c_to_n.value, said=f"C:N {supply.c_to_n.value:g}")
    pack = entry.packs.get(supply.pack or "") or (
        next(iter(entry.packs.values())) if len(entry.packs) == 1 else None
    )
    mass: Told | None = _measure(supply.pack_mass)
    if mass is None and pack is not None and pack.mass is not None and supply.packs is not None:
        mass = _looked_up(pack.mass)
    return _kept(
        {
            "material_key": supply.name,
            "amount_kg": _measure(supply.amount),
            "packs": supply.packs,
            "bale_mass_kg": mass,
            "volume_m3": _measure(supply.volume),
            "stored_outdoors": supply.stored_outdoors,
            "material_moisture": _measure(supply.moisture),
            "material_carbon": carbon,
            "material_nitrogen": nitrogen,
            "material_absorbency": _measure(supply.absorbency),
            "material_density_laid": _measure(supply.density_laid),
        }
    )


def _told_rate(farm: Farm, key: str) -> dict[str, Told]:
    """How far the keeper's own rate of a material may stray from its middle, where a range was told."""
    lines = [] if isinstance(farm.bedding, str) else [a for a in farm.bedding if a.material == key]
    total = sum(line.rate.value for line in lines)
    if not total or all(line.rate.exact for line in lines):
        return {}
    low, high = (sum(getattr(line.rate, end) for line in lines) / total for end in ("low", "high"))
    return {"told_rate_factor": Told(1.0, low, high, said=", ".join(line.rate.said for line in lines))}


def _for_sale(farm: Farm, supply: ToldSupply) -> bool:
    """Bedding may be bought unless the keeper says it is not for sale, or that none may be bought."""
    if supply.for_sale is not None:
        return supply.for_sale
    return bool(farm.facts.get("market_straw", True))


def _base_key(
    farm: Farm, supplies: list[Supply], told: dict[Subject, dict[str, Told]], knowledge: Knowledge
) -> str:
    """What the base is laid from: as told, else the bedding there is most of on the first day, straw first."""
    if farm.base and farm.base.material:
        for supply in supplies:
            if supply.material == farm.base.material and supply.bedding:
                return supply.key
    bedding = [s for s in supplies if s.bedding] or supplies
    bedding = [s for s in bedding if s.first_day == 0] or bedding

    def amount(supply: Supply) -> float:
        facts = told["material", supply.key]
        if "amount_kg" in facts:
            return float(facts["amount_kg"].value)
        if "packs" in facts and "bale_mass_kg" in facts:
            return float(facts["packs"].value) * float(facts["bale_mass_kg"].value)
        entry = knowledge.materials[supply.material]
        density = entry.density_loose or entry.density_laid
        if "volume_m3" not in facts or density is None:
            return 0.0
        return float(facts["volume_m3"].value) * density.to("kg/m3").value

    return max(bedding, key=lambda s: (amount(s), "straw" in s.material)).key
