"""The sums of the heap's remedies."""

from __future__ import annotations

import numpy as np

from advisor.reasoning.draws import typical
from advisor.science.heap import water_to_add_kg
from advisor.troubles import remedy
from advisor.troubles.numbers import NotTold, Sum, Value, Workings
from advisor.troubles.sizes_bed import bedding_moisture, bedding_name, with_packs

__all__ = ["HEAP_SUMS"]

_TONNE = 1000.0


def _heap_kg(w: Workings) -> tuple[Value, str]:
    """Weight of the heap: told, from its volume, else a tonne."""
    mass = w.told("heap_mass_kg", "kg") if "heap_mass_kg" in w.facts else None
    if mass is not None:
        return mass, ""
    volume = w.told("heap_volume_m3", "m3")
    if volume is None:
        return _TONNE, "_t"
    return volume * w.figure("heap_density"), ""


def _moisture(w: Workings, otherwise: str) -> Value:
    return w.told_or_figure("heap_moisture", "fraction", otherwise)


def heap_dry(w: Workings) -> Sum:
    """Dry stuff that brings a wet heap down to the wettest that still breathes."""
    mass, per = _heap_kg(w)
    moisture = _moisture(w, "heap_moisture_drips")
    wanted = typical(w.figure("heap_moisture_high"))
    dry = np.minimum(bedding_moisture(w), wanted - 0.05)
    kg = remedy.dry_to_add_kg(mass, moisture, wanted, dry)
    amount = with_packs(w, w.amount(f"dry_into_heap{per}", kg, "kg"))
    working = {
        "wet": (typical(mass), "kg"), "moisture": (typical(moisture), "fraction"), "wanted": (wanted, "fraction"),
        "dry": (typical(dry), "fraction"), "kg": (amount.value, "kg"),
    }  # fmt: skip
    return Sum((amount,), working)


def heap_water(w: Workings) -> Sum:
    """Water that brings a dry heap up to where it works."""
    mass, per = _heap_kg(w)
    moisture = _moisture(w, "heap_moisture_crumbles")
    wanted = typical(w.figure("heap_moisture_low"))
    water = water_to_add_kg(mass, moisture, wanted)
    amount = w.amount(f"water_into_heap{per}", water, "kg")
    working = {
        "wet": (typical(mass), "kg"), "moisture": (typical(moisture), "fraction"), "wanted": (wanted, "fraction"),
        "kg": (amount.value, "kg"),
    }  # fmt: skip
    return Sum((amount,), working)


def _manure(w: Workings) -> str:
    name = w.facts.get("manure")
    return name if isinstance(name, str) and name in w.knowledge.materials else "cattle_manure"


def _property(w: Workings, material: str, name: str) -> Value:
    found = w.material(material, name)
    if found is None:
        raise NotTold("manure")
    return found


def heap_carbon(w: Workings) -> Sum:
    """Straw or wood that brings a rich heap up to the ratio at which nitrogen stays."""
    mass, per = _heap_kg(w)
    name = _manure(w)
    moisture = w.told("heap_moisture", "fraction")
    solid = mass * (1.0 - np.asarray(_property(w, name, "moisture") if moisture is None else moisture))
    nitrogen = solid * _property(w, name, "nitrogen")
    told = w.told("heap_c_to_n", "c_to_n")
    carbon = solid * _property(w, name, "carbon") if told is None else nitrogen * told
    wanted = typical(w.figure("heap_c_to_n_low"))
    bedding = bedding_name(w)
    dry = 1.0 - np.asarray(bedding_moisture(w))
    kg = remedy.carbon_rich_to_add_kg(
        carbon,
        nitrogen,
        wanted,
        dry * _property(w, bedding, "carbon"),
        dry * _property(w, bedding, "nitrogen"),
    )
    amount = with_packs(w, w.amount(f"carbon_into_heap{per}", kg, "kg"))
    working = {
        "nitrogen": (typical(nitrogen), "kg"), "carbon": (typical(carbon), "kg"),
        "now": (typical(carbon) / typical(nitrogen), "c_to_n"), "wanted": (wanted, "c_to_n"),
        "kg": (amount.value, "kg"),
    }  # fmt: skip
    return Sum((amount,), working)


def heap_nitrogen(w: Workings) -> Sum:
    """Dung that brings a starved heap down to the ratio at which it works."""
    mass, per = _heap_kg(w)
    ratio = w.told_or_figure("heap_c_to_n", "c_to_n", "starved_heap_c_to_n")
    moisture = w.told_or_figure("heap_moisture", "fraction", "heap_moisture_low")
    carbon = mass * (1.0 - np.asarray(moisture)) * _property(w, bedding_name(w), "carbon")
    nitrogen = carbon / ratio
    name = _manure(w)
    solid = 1.0 - np.asarray(_property(w, name, "moisture"))
    wanted = typical(w.figure("heap_slow_c_to_n"))
    held_carbon: Value = solid * _property(w, name, "carbon")
    held_nitrogen: Value = solid * _property(w, name, "nitrogen")
    gain = wanted * np.asarray(held_nitrogen) - held_carbon
    if np.any(gain <= 0.0):  # a draw of poor dung: take the typical dung for all
        held_carbon, held_nitrogen = typical(held_carbon), typical(held_nitrogen)
    kg = remedy.nitrogen_rich_to_add_kg(carbon, nitrogen, wanted, held_carbon, held_nitrogen)
    amount = w.amount(f"dung_into_heap{per}", kg, "kg")
    working = {
        "carbon": (typical(carbon), "kg"), "nitrogen": (typical(nitrogen), "kg"), "now": (typical(ratio), "c_to_n"),
        "wanted": (wanted, "c_to_n"), "kg": (amount.value, "kg"),
    }  # fmt: skip
    return Sum((amount,), working)


def heap_volume(w: Workings) -> Sum:
    """Muck lacking to a heap that holds its heat."""
    winter = w.facts.get("winter", True) is not False
    side = w.figure("heap_least_side_winter" if winter else "heap_least_side")
    volume = w.told("heap_volume_m3", "m3")
    missing = remedy.heap_missing_m3(side, 0.0 if volume is None else volume)
    key = "heap_whole" if volume is None else "heap_more"
    amounts = (
        w.amount(key, missing, "m3"),
        w.amount(f"{key}_mass", missing * w.figure("heap_density"), "kg"),
    )
    return Sum(
        amounts, {"side": (typical(side), "m"), "have": (typical(0.0 if volume is None else volume), "m3")}
    )


def heap_structure(w: Workings) -> Sum:
    """Coarse stuff that opens a dense heap."""
    share = w.figure("structure_share")
    volume = w.told("heap_volume_m3", "m3")
    if volume is None:
        return Sum((w.amount("coarse_share", share, "fraction"),), {"share": (typical(share), "fraction")})
    return Sum(
        (w.amount("coarse_into_heap", share * volume, "m3"),),
        {"share": (typical(share), "fraction"), "have": (typical(volume), "m3")},
    )


def rain_on_heap(w: Workings) -> Sum:
    """Rain that washes through a heap in a week."""
    falls = w.told_or_figure("rain_kg_m2_day", "kg/m2/day", "winter_rain")
    area = w.told("heap_area_m2", "m2")
    key = "rain_through_m2" if area is None else "rain_through"
    size: Value = 1.0 if area is None else area
    return Sum(
        (w.amount(key, size * np.asarray(falls) * 7.0, "kg", "week"),),
        {"falls": (typical(falls), "kg/m2/day"), "area": (typical(size), "m2")},
    )


HEAP_SUMS = {
    f.__name__: f
    for f in (
        heap_dry, heap_water, heap_carbon, heap_nitrogen, heap_volume, heap_structure, rain_on_heap,
    )
}  # fmt: skip
