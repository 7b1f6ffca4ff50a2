"""The sums of the bed's remedies. Each takes the workings and gives a Sum; what is not told is a figure or asked."""

from __future__ import annotations

import numpy as np

from advisor.knowledge import Knowledge
from advisor.reasoning.draws import Numbers, typical
from advisor.troubles import remedy
from advisor.troubles.numbers import Amount, NotTold, Sum, Value, Workings

__all__ = ["BED_SUMS", "bedding_carbon_nitrogen", "bedding_moisture", "bedding_name", "with_packs"]

_WEEK = 7.0


def bedding_name(w: Workings) -> str:
    """The bedding to use: told, else straw."""
    name = w.facts.get("bedding")
    return name if isinstance(name, str) and name in w.knowledge.materials else "straw"


def bedding_carbon_nitrogen(knowledge: Knowledge, material: str) -> tuple[float, float]:
    """Typical carbon and nitrogen of a bedding, as shares of its dry matter."""
    entry = knowledge.materials[material]
    return entry.carbon.value, entry.nitrogen.value


def bedding_moisture(w: Workings) -> Value:
    """Its moisture: told, else the material's."""
    told = w.told("bedding_moisture", "fraction")
    if told is not None:
        return told
    found = w.material(bedding_name(w), "moisture")
    return w.figure("air_dry_moisture") if found is None else found


def with_packs(w: Workings, amount: Amount) -> Amount:
    """The amount in bales and forkfuls as well. The weight of a bale is told, else the usual one."""
    from dataclasses import replace

    entry = w.knowledge.materials[bedding_name(w)]
    mass = w.facts.get("bale_mass_kg")
    name = str(w.facts.get("bale_name") or "")
    if isinstance(mass, list | tuple):
        mass = mass[1]
    if not isinstance(mass, int | float) or isinstance(mass, bool):
        pack = next((p for p in entry.packs.values() if p.mass is not None), None)
        mass = pack.mass.value if pack is not None and pack.mass is not None else None
        name = pack.name if pack is not None else ""
        if "bale_mass_kg" not in w.lacking:
            w.lacking.append("bale_mass_kg")
    forks = amount.value / typical(w.figure("forkful_dry")) if entry.family in ("straw", "hay") else None
    packs = amount.value / float(mass) if mass else None
    return replace(amount, packs=packs, pack=name, forkfuls=forks)


def _top_moisture(w: Workings) -> Value:
    """Moisture of the top: told, read from the squeeze test, else as of a bed that drips."""
    told = w.told("top_moisture", "fraction")
    if told is not None:
        return told
    squeeze = str(w.facts.get("squeeze_top") or w.facts.get("squeeze_test") or "drips")
    keeping = w.facts.get("management")
    if keeping == "stirred" and squeeze == "drips":
        return w.figure("stirred_moisture_drips")
    if keeping == "hens" and squeeze != "crumbles":
        return w.figure("hen_moisture_ball")
    return w.figure(
        f"top_moisture_{squeeze}" if squeeze in ("drips", "holds", "crumbles") else "top_moisture_drips"
    )


def _wanted(w: Workings) -> Value:
    """The moisture aimed at: the driest end of what still counts as dry, as one number."""
    told = w.told("top_moisture_wanted", "fraction")
    return typical(w.figure("dry_top_moisture")) if told is None else told


def _wet_top_kg(w: Workings, moisture: Value) -> tuple[Value, float, str]:
    """Weight of the wet top, the area it is for, and 'm2' where no area was told."""
    dry = w.told("top_dry_kg_day", "kg/day") if "top_depth_m" not in w.facts else None
    if dry is not None:
        return remedy.top_layer_kg(dry, w.figure("top_passed_down"), moisture), 0.0, ""
    depth = w.told_or_figure("top_depth_m", "m", "wet_top_depth")
    area = w.told("wet_area_m2", "m2") if "wet_area_m2" in w.facts else w.told("area_m2", "m2")
    per = "m2" if area is None else ""
    area = 1.0 if area is None else area
    return depth * area * w.figure("top_layer_density"), typical(area), per


def top_dressing(w: Workings) -> Sum:
    """Dry bedding today that brings the wet top to a dry one."""
    moisture, wanted, dry = _top_moisture(w), _wanted(w), bedding_moisture(w)
    wet, _, per = _wet_top_kg(w, moisture)
    dry = np.minimum(dry, np.asarray(wanted) - 0.05)
    kg = remedy.dry_to_add_kg(wet, moisture, wanted, dry)
    amount = with_packs(w, w.amount("bedding_today", kg, "kg", "m2" if per else ""))
    working = {
        "wet": (typical(wet), "kg"), "moisture": (typical(moisture), "fraction"),
        "wanted": (typical(wanted), "fraction"), "dry": (typical(dry), "fraction"), "kg": (amount.value, "kg"),
    }  # fmt: skip
    return Sum((amount,), working, {"bedding_today_kg": amount.value} if not per else {})


def daily_rate(w: Workings) -> Sum:
    """Bedding a day and a week that keeps the top dry from now on, and how long what is on hand lasts."""
    fresh, solid = w.need("excreta_kg_day", "kg/day"), w.need("excreta_dry_kg_day", "kg/day")
    area = w.need("area_m2", "m2")
    drying = w.told_or_figure("evaporation_kg_m2_day", "kg/m2/day", "evaporation_at_5")
    dried_off = area * drying * w.figure("evaporation_credit")
    wanted, dry = _wanted(w), bedding_moisture(w)
    kg = remedy.keep_dry_kg_day(fresh, solid, dried_off, wanted, np.minimum(dry, np.asarray(wanted) - 0.05))
    least = w.told("least_bedding_kg_day", "kg/day")
    if least is not None:
        kg = np.maximum(kg, least)
    amounts = [
        with_packs(w, w.amount("bedding_each_day", kg, "kg", "day")),
        with_packs(w, w.amount("bedding_each_week", kg * _WEEK, "kg", "week")),
    ]
    now = w.told("bedding_kg_day", "kg/day")
    change: dict[str, float] = {"bedding_kg_day": typical(kg)}
    if now is not None:
        amounts.append(w.amount("bedding_more_each_day", np.maximum(kg - now, 0.0), "kg", "day"))
    on_hand = w.told("on_hand_kg", "kg")
    if on_hand is not None:
        amounts.append(w.amount("supply_lasts", on_hand / np.maximum(kg, 1e-9), "day"))
    working = {
        "fresh": (typical(fresh), "kg/day"), "dried": (typical(dried_off), "kg/day"),
        "wanted": (typical(wanted), "fraction"), "dry": (typical(dry), "fraction"),
        "least": (0.0 if least is None else typical(least), "kg/day"), "kg": (typical(kg), "kg/day"),
    }  # fmt: skip
    return Sum(tuple(amounts), working, change)


def carbon_top(w: Workings) -> Sum:
    """Straw or wood that brings the carbon to nitrogen of the top up to the goal."""
    days = 1.0 / np.asarray(w.figure("top_passed_down"))
    nitrogen = w.need("nitrogen_kg_day", "kg/day") * days
    carbon = w.need("carbon_kg_day", "kg/day") * days
    wanted = typical(w.figure("goal_c_to_n_low"))
    added_carbon, added_nitrogen = _per_kg(w)
    if np.any(np.asarray(added_carbon - wanted * added_nitrogen) <= 0.0):
        return Sum(())  # what is on hand is itself no richer in carbon than the goal: no amount of it will do
    kg = remedy.carbon_rich_to_add_kg(carbon, nitrogen, wanted, added_carbon, added_nitrogen)
    amount = with_packs(w, w.amount("carbon_today", kg, "kg"))
    working = {
        "nitrogen": (typical(nitrogen), "kg"), "carbon": (typical(carbon), "kg"), "wanted": (wanted, "c_to_n"),
        "now": (typical(carbon) / typical(nitrogen), "c_to_n"), "kg": (amount.value, "kg"),
    }  # fmt: skip
    return Sum((amount,), working, {"bedding_today_kg": amount.value})


def _per_kg(w: Workings) -> tuple[Value, Value]:
    """Carbon and nitrogen in a kg of the bedding as it is."""
    name = bedding_name(w)
    solid = 1.0 - np.asarray(bedding_moisture(w))
    carbon, nitrogen = w.material(name, "carbon"), w.material(name, "nitrogen")
    if carbon is None or nitrogen is None:
        raise NotTold("bedding")
    return solid * carbon, solid * nitrogen


def _soaks(w: Workings) -> Value:
    absorbency = w.material(bedding_name(w), "absorbency")
    if absorbency is None:
        absorbency = w.figure("dung_bedding_absorbency")
    return remedy.soaks_kg_kg(
        absorbency, w.figure("usable_absorbency_share"), bedding_moisture(w), w.figure("air_dry_moisture")
    )


def leak(w: Workings) -> Sum:
    """Water a leak lets go, and the straw it would take to soak it up, which is why the drinker comes first."""
    water = w.told_or_figure("leak_l_day", "kg/day", "drinker_leak")
    return _water_in_straw(w, water, "leak_water")


def rain(w: Workings) -> Sum:
    """Rain on the wet strip, and the straw it would take to soak it up."""
    falls = w.told_or_figure("rain_kg_m2_day", "kg/m2/day", "winter_rain")
    area = w.told("patch_area_m2", "m2")
    return _water_in_straw(
        w, falls if area is None else falls * area, "rain_water", "m2" if area is None else ""
    )


def _water_in_straw(w: Workings, water: Value, key: str, per_area: str = "") -> Sum:
    soaks = _soaks(w)
    straw = water / np.maximum(soaks, 1e-9)
    amounts = (
        w.amount(f"{key}{'_m2' if per_area else ''}", water, "kg", "day"),
        with_packs(w, w.amount("straw_wasted", straw * _WEEK, "kg", "week")),
    )
    return Sum(
        amounts,
        {
            "water": (typical(water), "kg/day"),
            "soaks": (typical(soaks), "kg/kg"),
            "straw": (typical(straw), "kg/day"),
        },
    )


def patch(w: Workings) -> Sum:
    """What to lift out of a wet patch, and the dry bedding that fills the hole."""
    depth = w.told_or_figure("patch_depth_m", "m", "patch_depth")
    area = w.told("patch_area_m2", "m2")
    per: str = "m2" if area is None else ""
    size: Value = 1.0 if area is None else area
    trodden = w.material(bedding_name(w), "density_trodden")  # it is trodden in until it is level
    trodden = w.figure("light_hay_density") if trodden is None else trodden
    out, back = size * depth * w.figure("top_layer_density"), size * depth * trodden
    amounts = (
        w.amount("lift_out", out, "kg", "m2" if per else ""),
        with_packs(w, w.amount("fill_back", back, "kg", "m2" if per else "")),
    )
    return Sum(
        amounts,
        {"area": (typical(size), "m2"), "depth": (typical(depth), "m"), "back": (typical(back), "kg")},
    )


def room(w: Workings) -> Sum:
    """Area to add, or animals to move, so that the bed has the room it needs."""
    area, needed, heads = w.need("area_m2", "m2"), w.need("space_needed_m2", "m2"), w.need("heads", "head")
    missing = np.maximum(0.0, np.asarray(needed) - area)
    move = remedy.animals_to_move(area, needed, typical(heads))
    amounts = (w.amount("area_to_add", missing, "m2"), w.amount("animals_to_move", move, "head"))
    working = {
        "area": (typical(area), "m2"),
        "needed": (typical(needed), "m2"),
        "heads": (typical(heads), "head"),
    }
    return Sum(amounts, working, {"heads_less": amounts[1].value, "area_more_m2": amounts[0].value})


def muck_out(w: Workings) -> Sum:
    """Weight to dig out, hours by fork and by loader, and bedding for a new base."""
    area = w.need("area_m2", "m2")
    mass = w.told("pack_mass_kg", "kg")
    if mass is None:
        mass = area * w.need("pack_depth_m", "m") * w.figure("top_layer_density")
    name = bedding_name(w)
    laid = w.material(name, "density_laid")
    laid = w.material(name, "density_loose") if laid is None else laid
    base = area * w.figure("base_depth_m") * (w.figure("light_hay_density") if laid is None else laid)
    amounts = (
        w.amount("dig_out", mass, "kg"),
        w.amount("fork_hours", mass / 1000.0 / w.figure("fork_rate"), "h"),
        w.amount("loader_hours", mass / 1000.0 / w.figure("tractor_rate"), "h"),
        with_packs(w, w.amount("new_base", base, "kg")),
    )
    return Sum(
        amounts, {"area": (typical(area), "m2"), "mass": (typical(mass), "kg"), "base": (typical(base), "kg")}
    )


def openings(w: Workings) -> Sum:
    """Roof outlet and inlets that these animals need."""
    calves = bool(w.facts.get("only_calves"))
    outlet = w.figure("air_outlet_area_calf_m2_head" if calves else "air_outlet_area_m2_head")
    heads = w.told("heads", "head")
    out: Value = outlet if heads is None else outlet * heads
    inlet = out * w.figure("inlet_to_outlet_ratio")
    suffix = "_head" if heads is None else ""
    amounts = (w.amount(f"outlet{suffix}", out, "m2"), w.amount(f"inlet{suffix}", inlet, "m2"))
    return Sum(amounts, {"outlet": (typical(outlet), "m2/head"), "heads": (typical(heads or 1.0), "head")})


def grain(w: Workings) -> Sum:
    """Grain for the first lift of the pack."""
    dose = w.figure("grain_per_bedding")
    depth = w.told_or_figure("grain_depth_m", "m", "pig_turning_lift")
    area = w.told("area_m2", "m2")
    size: Value = 1.0 if area is None else area
    kg = remedy.grain_bait_kg(size, depth, dose)
    amounts = (w.amount("grain", kg, "kg", "m2" if area is None else ""),)
    working = {
        "area": (typical(size), "m2"),
        "depth": (typical(depth), "m"),
        "dose": (typical(dose), "kg/m3"),
    }
    return Sum(amounts, working)


def wet_bales(w: Workings) -> Sum:
    """How much more damp bedding it takes to soak up what dry bedding would."""
    absorbency = w.material(bedding_name(w), "absorbency")
    absorbency = w.figure("dung_bedding_absorbency") if absorbency is None else absorbency
    share, air_dry = w.figure("usable_absorbency_share"), w.figure("air_dry_moisture")
    wet = w.told_or_figure("damp_moisture", "fraction", "damp_bale_moisture")
    dry = w.material(bedding_name(w), "moisture")
    sound = remedy.soaks_kg_kg(absorbency, share, air_dry if dry is None else dry, air_dry)
    damp = remedy.soaks_kg_kg(absorbency, share, wet, air_dry)
    factor = sound / np.maximum(damp, 1e-9)
    amounts = [w.amount("damp_factor", (factor - 1.0), "fraction")]
    now = w.told("bedding_kg_day", "kg/day")
    if now is not None:
        amounts.append(with_packs(w, w.amount("bedding_more_each_day", now * (factor - 1.0), "kg", "day")))
    return Sum(tuple(amounts), {"sound": (typical(sound), "kg/kg"), "damp": (typical(damp), "kg/kg")})


def ration(w: Workings) -> Sum:
    """How much more bedding wet feed asks for."""
    more: Numbers = np.asarray(w.figure("silage_wetness_factor")) - 1.0
    amounts = [w.amount("wet_feed_factor", more, "fraction")]
    now = w.told("bedding_kg_day", "kg/day")
    if now is not None:
        amounts.append(with_packs(w, w.amount("bedding_more_each_day", now * more, "kg", "day")))
    return Sum(tuple(amounts), {"more": (typical(more), "fraction")})


def frost_cover(w: Workings) -> Sum:
    """Dry bedding over the frozen places."""
    area = w.told("wet_area_m2", "m2") if "wet_area_m2" in w.facts else w.told("area_m2", "m2")
    size: Value = 1.0 if area is None else area
    loose = w.material(bedding_name(w), "density_loose")
    loose = w.figure("light_hay_density") if loose is None else loose
    kg = size * w.figure("fresh_top_cover") * loose
    return Sum(
        (with_packs(w, w.amount("bedding_today", kg, "kg", "m2" if area is None else "")),),
        {"area": (typical(size), "m2"), "loose": (typical(loose), "kg/m3")},
    )


BED_SUMS = {
    f.__name__: f
    for f in (
        top_dressing, daily_rate, carbon_top, leak, rain, patch, room, muck_out, openings, grain, wet_bales, ration,
        frost_cover,
    )
}  # fmt: skip
