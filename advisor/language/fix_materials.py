"""Corrections of materials: which, how much, and what one pack weighs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.language.found import span_value
from advisor.language.lexicon import Lexicon
from advisor.language.replaced import plain_number
from advisor.language.scan import Item, Scan

__all__ = ["fix_materials"]


def fix_materials(
    scan: Scan,
    facts: dict[str, Any],
    old: list[dict[str, Any]],
    new: list[Item],
    denied: list[tuple[Item, float]],
    lexicon: Lexicon,
    skip: set[int],
) -> list[str]:
    rates = [q for q in facts.get("quantities", []) if str(q.get("of")).startswith("bedding rate")]
    if (rates or {"rate_kg_per_day", "rate_kg_per_day_range"} & set(facts)) and not denied:
        return []  # what goes on a day changes nothing on hand
    told = {entry.get("name") for entry in old}
    facts["no_materials"] = [name for name in facts.get("no_materials", []) if name not in told]
    if not facts["no_materials"]:
        del facts["no_materials"]
    given = facts.get("materials")
    wrong = {i.name for i in scan.items if i.start in skip and i.kind == "material"}
    if given and wrong and len(given) > 1:
        given = facts["materials"] = [m for m in given if m["name"] not in wrong] or given
    if given and len(given) == 1:
        entry = given[0]
        same = next((m for m in old if m.get("name") == entry["name"]), None)
        target = same or next((m for m in old if m.get("name") in wrong), old[0] if len(old) == 1 else None)
        keys = [k for k in entry if k != "name"]
        if target is not None and not keys:
            number = next((i for i in new if i.kind == "number"), None)
            if number is not None:
                stock(entry, target, number, denied)
            elif same is None:
                entry.update({k: v for k, v in target.items() if k != "name"})
        elif (
            target is not None
            and "amount" in entry
            and "unit_mass_kg" in target
            and target.get("unit") == entry.get("unit")
        ):
            pass
        return ["material" if same is None else "amount of " + entry["name"]]
    if given:
        return ["materials"]
    target = (
        old[0] if len(old) == 1 else next((m for m in old if m.get("amount") in [v for _, v in denied]), None)
    )
    if target is None or facts.get("animals") or facts.get("area_m2"):
        return []
    for item in new:
        if item.kind == "number" and ("amount" in target or "unit_mass_kg" in target):
            entry = {"name": target["name"]}
            stock(entry, target, item, denied)
            facts["materials"] = [entry]
            return ["amount of " + target["name"]]
        measures = lexicon.unit(item.unit).measures if item.unit else ""
        if measures in ("mass", "volume", "pack"):
            entry = {"name": target["name"]}
            if (
                measures == "mass"
                and target.get("unit")
                and lexicon.tables.units.get(str(target["unit"]))
                and lexicon.unit(str(target["unit"])).measures == "pack"
                and item.si[0] < 1500
            ):
                entry.update(span_value("unit_mass_kg", *item.si))
                if "amount" in target:
                    entry.update({"amount": target["amount"], "unit": target["unit"]})
                    entry.update(
                        span_value("mass_kg", target["amount"] * item.si[0], target["amount"] * item.si[1])
                    )
            else:
                entry.update({"amount": plain_number(item), "unit": item.unit})
                if measures != "pack":
                    entry.update(span_value("mass_kg" if measures == "mass" else "volume_m3", *item.si))
            facts["materials"] = [entry]
            facts.pop("quantities", None)
            return ["amount of " + target["name"]]
    return []


def stock(
    entry: dict[str, Any], target: Mapping[str, Any], item: Item, denied: list[tuple[Item, float]]
) -> None:
    value = plain_number(item) or 0.0
    entry["amount"] = int(value) if value == int(value) else value
    if "unit" in target:
        entry["unit"] = target["unit"]
    old = target.get("amount")
    if isinstance(old, int | float) and old:
        for key in ("mass_kg", "volume_m3"):
            if isinstance(target.get(key), int | float):
                entry.update(span_value(key, target[key] * value / old, target[key] * value / old))
    if "unit_mass_kg" in target:
        entry["unit_mass_kg"] = target["unit_mass_kg"]
