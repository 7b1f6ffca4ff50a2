"""Corrections of animals: class, count or weight."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from advisor.language.found import span_value
from advisor.language.lexicon import Lexicon
from advisor.language.replaced import PART, old_unit, plain_number
from advisor.language.scan import Item, Scan

__all__ = ["fix_animals", "taken_off"]


def fix_animals(
    scan: Scan,
    facts: dict[str, Any],
    old: list[dict[str, Any]],
    new: list[Item],
    denied: list[tuple[Item, float]],
    lexicon: Lexicon,
    skip: set[int],
) -> list[str]:
    told = {entry.get("class") for entry in old}
    facts["no_animals"] = [name for name in facts.get("no_animals", []) if name not in told]
    if not facts["no_animals"]:
        del facts["no_animals"]
    given = facts.get("animals")
    wrong_names = {i.name for i in scan.items if i.start in skip and i.kind == "animal"}
    if given and len(given) > 1 and wrong_names:
        given = facts["animals"] = [a for a in given if a["class"] not in wrong_names] or given
    if given and len(given) == 1:
        entry = given[0]
        same = next((a for a in old if a.get("class") == entry["class"]), None)
        narrower = [a for a in old if str(a.get("class")).endswith(" " + entry["class"])]
        if same is None and len(narrower) == 1 and not wrong_names:
            same = narrower[0]
            entry["class"] = same["class"]
        if same is None:
            target = next(
                (a for a in old if a.get("class") in wrong_names), old[0] if len(old) == 1 else None
            )
            if target is None:
                return ["animals"]
            for key in ("count", "count_range"):
                if (
                    "count" not in entry
                    and "count_range" not in entry
                    and key in target
                    and (wrong_names or len(old) == 1)
                ):
                    entry[key] = target[key]
            return ["class of animal"]
        texts = [t.text for t in scan.tokens]
        final = next(
            (
                i
                for i in new
                if i.kind == "number"
                and (
                    texts[i.end : i.end + 1] == ["now"]
                    or texts[max(0, i.start - 1) : i.start] in (["so"], ["makes"], ["leaves"])
                    or texts[max(0, i.start - 2) : i.start] == ["that", "makes"]
                )
            ),
            None,
        )
        if final is not None and (value := plain_number(final)) is not None and value == int(value):
            entry["count"] = int(value)
        number = next((i for i in new if i.kind == "number"), None)
        if (
            number is not None
            and "count" not in entry
            and "count_range" not in entry
            and "weight_kg" not in entry
        ):
            number_into(entry, same, number, lexicon)
        return [
            "count of " + entry["class"]
            if "count" in entry or "count_range" in entry
            else "weight of " + entry["class"]
        ]
    if given:
        return ["animals"]
    for item in new:
        if item.kind == "number":
            value = plain_number(item)
            olds = [v for _, v in denied]
            target = next((a for a in old if a.get("count") in olds), None)
            heavy = next(
                (a for a in old if old_weight(a) and any(abs(old_weight(a) - v) < 0.5 for v in olds)), None
            )
            if target is None and heavy is not None:
                unit = old_unit(heavy, "weight_as") or "kg"
                factor = lexicon.tables.units[unit].factor if unit in lexicon.tables.units else 1.0
                facts["animals"] = [
                    {
                        "class": heavy["class"],
                        **span_value("weight_kg", (value or 0) * factor, (value or 0) * factor),
                    }
                ]
                return ["weight of " + heavy["class"]]
            if target is None and len(old) == 1 and "area_m2" not in facts:
                only_weight = "count" not in old[0] and "weight_kg" in old[0]
                if only_weight:
                    facts["animals"] = [{"class": old[0]["class"]}]
                    number_into(facts["animals"][0], old[0], item, lexicon)
                    return ["weight of " + old[0]["class"]]
                target = old[0]
            if target is not None and value is not None and value == int(value):
                facts["animals"] = [{"class": target["class"], "count": int(value)}]
                return ["count of " + target["class"]]
        elif (
            item.unit
            and lexicon.unit(item.unit).measures == "mass"
            and (len(old) == 1 or sum("weight_kg" in a for a in old) == 1)
        ):
            target = next((a for a in old if "weight_kg" in a), old[0])
            facts["animals"] = [{"class": target["class"], **span_value("weight_kg", *item.si)}]
            facts.pop("quantities", None)
            return ["weight of " + target["class"]]
    return []


def old_weight(entry: Mapping[str, Any]) -> float:
    match = PART.search(str(entry.get("weight_as", "")).replace(",", ""))
    try:
        return float(match[1]) if match else float(entry.get("weight_kg") or 0)
    except (TypeError, ValueError):
        return 0.0


def number_into(entry: dict[str, Any], old: Mapping[str, Any], item: Item, lexicon: Lexicon) -> None:
    value = plain_number(item) or 0.0
    if "count" not in old and "weight_kg" in old:
        unit = old_unit(old, "weight_as") or "kg"
        factor = lexicon.tables.units[unit].factor if unit in lexicon.tables.units else 1.0
        entry.update(span_value("weight_kg", value * factor, value * factor))
    elif value == int(value):
        entry["count"] = int(value)


def taken_off(scan: Scan, facts: dict[str, Any], old: list[dict[str, Any]], corrects: list[str]) -> None:
    """'take the donkey off the list', 'the bull is sold'."""
    line = " ".join(t.text for t in scan.tokens)
    if not re.search(r"\b(off|out|away|sold|gone|remove|delete|no more|no longer|left us|dead)\b", line):
        return
    kept = []
    for entry in facts.get("animals", []):
        known = next((a for a in old if a.get("class") == entry.get("class")), None)
        if known is not None and ("count" not in entry or entry.get("count") == known.get("count")):
            facts.setdefault("no_animals", []).append(entry["class"])
            corrects.append("animals")
        else:
            kept.append(entry)
    facts["animals"] = kept
