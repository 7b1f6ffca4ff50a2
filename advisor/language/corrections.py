"""Corrections: one part of something already told is replaced, and the rest of it stands."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from advisor.language.found import Found, span_value
from advisor.language.lexicon import Lexicon
from advisor.language.scan import Item, Scan

__all__ = ["apply_correction", "corrected_words"]

_PART = re.compile(r"([\d.]+)\s*([a-z\"']*)")


def _plain_number(item: Item) -> float | None:
    return item.number.low if item.number is not None and not item.number.ranged else None


def _denied_values(scan: Scan) -> list[tuple[Item, float]]:
    """Numbers after 'not', 'instead of', 'rather than'."""
    out = []
    for at, item in enumerate(scan.items):
        value = _plain_number(item)
        if value is None:
            continue
        before = [i.text for i in scan.items[max(0, at - 3) : at]]
        if (
            before[-1:] == ["not"]
            or before[-2:] in (["instead", "of"], ["rather", "than"])
            or before[-2:] in (["not", "the"], ["not", "a"], ["not", "about"], ["said", "it"])
            or before[-1:] in (["said"], ["told"], ["wrote"], ["put"], ["typed"], ["gave"])
            or before[-2:-1] in (["said"], ["wrote"], ["told"])
            or (before[-1:] == ["from"] and set(before) & {"change", "changed"})
        ):
            out.append((item, value))
    return out


def corrected_words(scan: Scan) -> set[int]:
    """Starts of items that only say what was wrong."""
    starts = {item.start for item, _ in _denied_values(scan)}
    for at, item in enumerate(scan.items):
        if item.kind not in ("animal", "material", "breed", "date"):
            continue
        before = [i.text for i in scan.items[max(0, at - 3) : at]]
        if (
            before[-1:] == ["not"]
            or before[-2:]
            in (
                ["instead", "of"],
                ["rather", "than"],
                ["not", "the"],
                ["not", "a"],
                ["not", "on"],
                ["not", "in"],
                ["no", "longer"],
            )
            or before[-1:] in (["said"], ["wrote"], ["put"], ["typed"])
            or before[-2:] in (["said", "the"], ["told", "you"], ["gave", "you"], ["said", "it"])
        ):
            starts.add(item.start)
    return starts


def _sides_of(as_text: str) -> list[tuple[float, str]]:
    parts = re.split(r"\s*x\s*", as_text)
    out = []
    for part in parts:
        match = _PART.search(part)
        if match:
            try:
                value = float(match[1])
            except ValueError:
                continue
            inches = re.search(r"\+\s*([\d.]+)\s*in", part)
            out.append((value + (float(inches[1]) / 12 if inches else 0.0), match[2]))
    return out


def _new_numbers(scan: Scan, skip: set[int]) -> list[Item]:
    return [
        i
        for i in scan.items
        if i.kind in ("number", "amount") and i.start not in skip and _plain_number(i) is not None
    ]


def _fix_area(
    scan: Scan, before: Mapping[str, Any], new: list[Item], denied: list[tuple[Item, float]], lexicon: Lexicon
) -> dict[str, Any] | None:
    sides = _sides_of(str(before.get("area_as", "")))
    if len(sides) != 2 or len(new) != 1:
        return None
    item = new[0]
    value = _plain_number(item)
    unit = item.unit or ""
    if value is None or (unit and lexicon.unit(unit).measures != "length"):
        return None
    words = scan.words()
    place = None
    for _, old in denied:
        place = next((k for k, (side, _) in enumerate(sides) if abs(side - old) < 1e-6), place)
    if place is None:
        if words & {"wide", "width", "across", "broad"}:
            place = min((0, 1), key=lambda k: sides[k][0])
        elif words & {"long", "length"}:
            place = max((0, 1), key=lambda k: sides[k][0])
        else:
            return None
    shared = next((u for _, u in reversed(sides) if u), "m")
    sides = [(v, u or shared) for v, u in sides]
    sides[place] = (value, unit or sides[place][1])
    area = 1.0
    for side, side_unit in sides:
        names = {"feet": "ft", "foot": "ft", "'": "ft", "metre": "m", "metres": "m", "meter": "m"}
        side_unit = names.get(side_unit, side_unit)
        area *= side * (lexicon.tables.units[side_unit].factor if side_unit in lexicon.tables.units else 1.0)
    return {**span_value("area_m2", area, area), "area_as": " x ".join(f"{v:g} {u}" for v, u in sides)}


def _old_unit(before: Mapping[str, Any], key: str) -> str:
    match = re.search(r"[\d.]+\s*([a-zA-Z][a-zA-Z ]*)", str(before.get(key, "")))
    return match[1].strip() if match else ""


def apply_correction(scan: Scan, lexicon: Lexicon, found: Found, before: Mapping[str, Any]) -> list[str]:
    """Complete the facts of a correction from what was known before; returns the words for what it corrects."""
    facts = found.facts
    denied = _denied_values(scan)
    skip = corrected_words(scan)
    new = _new_numbers(scan, skip)
    corrects: list[str] = []
    if "area_m2" in before and "area_m2" not in facts:
        fixed = _fix_area(scan, before, new, denied, lexicon)
        if fixed:
            facts.update(fixed)
            facts.pop("depth_cm", None)
            facts.pop("quantities", None)
            corrects.append("floor area")
    old_animals = [dict(a) for a in before.get("animals", []) if isinstance(a, dict)]
    if old_animals:
        corrects += _fix_animals(scan, facts, old_animals, new, denied, lexicon, skip)
    old_materials = [dict(m) for m in before.get("materials", []) if isinstance(m, dict)]
    if old_materials:
        corrects += _fix_materials(scan, facts, old_materials, new, denied, lexicon, skip)
    corrects += _fix_scalars(scan, facts, before, new, lexicon, bool(corrects))
    corrects += _fix_dates(scan, facts, before, new, bool(corrects))
    _taken_off(scan, facts, old_animals, corrects)
    labels = {
        "area_m2": "floor area",
        "depth_cm": "depth",
        "days": "days housed",
        "days_range": "days housed",
        "hours_per_day": "hours indoors",
        "start": "date in",
        "end": "date out",
        "rate_kg_per_day": "bedding rate",
        "yes_no": "yes or no",
        "choice": "choice",
        "quantities": "quantity",
        "no_animals": "animals",
        "no_materials": "materials",
    }
    for key, label in labels.items():
        if key in facts and label not in corrects:
            corrects.append(label)
    if facts.get("animals") and not corrects:
        corrects.append("animals")
    if facts.get("materials") and not corrects:
        corrects.append("materials")
    return corrects


def _taken_off(scan: Scan, facts: dict[str, Any], old: list[dict[str, Any]], corrects: list[str]) -> None:
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


def _fix_animals(
    scan: Scan,
    facts: dict[str, Any],
    old: list[dict[str, Any]],
    new: list[Item],
    denied: list[tuple[Item, float]],
    lexicon: Lexicon,
    skip: set[int],
) -> list[str]:
    facts.pop("no_animals", None)
    given = facts.get("animals")
    wrong_names = {i.name for i in scan.items if i.start in skip and i.kind == "animal"}
    if given and len(given) > 1 and wrong_names:
        given = facts["animals"] = [a for a in given if a["class"] not in wrong_names] or given
    if given and len(given) == 1:
        entry = given[0]
        same = next((a for a in old if a.get("class") == entry["class"]), None)
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
        if final is not None and (value := _plain_number(final)) is not None and value == int(value):
            entry["count"] = int(value)
        number = next((i for i in new if i.kind == "number"), None)
        if (
            number is not None
            and "count" not in entry
            and "count_range" not in entry
            and "weight_kg" not in entry
        ):
            _number_into(entry, same, number, lexicon)
        return [
            "count of " + entry["class"]
            if "count" in entry or "count_range" in entry
            else "weight of " + entry["class"]
        ]
    if given:
        return ["animals"]
    for item in new:
        if item.kind == "number":
            value = _plain_number(item)
            olds = [v for _, v in denied]
            target = next((a for a in old if a.get("count") in olds), None)
            heavy = next(
                (a for a in old if _old_weight(a) and any(abs(_old_weight(a) - v) < 0.5 for v in olds)), None
            )
            if target is None and heavy is not None:
                unit = _old_unit(heavy, "weight_as") or "kg"
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
                    _number_into(facts["animals"][0], old[0], item, lexicon)
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


def _old_weight(entry: Mapping[str, Any]) -> float:
    match = _PART.search(str(entry.get("weight_as", "")).replace(",", ""))
    try:
        return float(match[1]) if match else float(entry.get("weight_kg") or 0)
    except (TypeError, ValueError):
        return 0.0


def _number_into(entry: dict[str, Any], old: Mapping[str, Any], item: Item, lexicon: Lexicon) -> None:
    value = _plain_number(item) or 0.0
    if "count" not in old and "weight_kg" in old:
        unit = _old_unit(old, "weight_as") or "kg"
        factor = lexicon.tables.units[unit].factor if unit in lexicon.tables.units else 1.0
        entry.update(span_value("weight_kg", value * factor, value * factor))
    elif value == int(value):
        entry["count"] = int(value)


def _fix_materials(
    scan: Scan,
    facts: dict[str, Any],
    old: list[dict[str, Any]],
    new: list[Item],
    denied: list[tuple[Item, float]],
    lexicon: Lexicon,
    skip: set[int],
) -> list[str]:
    facts.pop("no_materials", None)
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
                _stock(entry, target, number, denied)
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
            _stock(entry, target, item, denied)
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
                entry.update({"amount": _plain_number(item), "unit": item.unit})
                if measures != "pack":
                    entry.update(span_value("mass_kg" if measures == "mass" else "volume_m3", *item.si))
            facts["materials"] = [entry]
            facts.pop("quantities", None)
            return ["amount of " + target["name"]]
    return []


def _stock(
    entry: dict[str, Any], target: Mapping[str, Any], item: Item, denied: list[tuple[Item, float]]
) -> None:
    value = _plain_number(item) or 0.0
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


def _fix_scalars(
    scan: Scan,
    facts: dict[str, Any],
    before: Mapping[str, Any],
    new: list[Item],
    lexicon: Lexicon,
    done: bool,
) -> list[str]:
    """A bare number replaces the only scalar known, in the user's own unit."""
    out: list[str] = []
    for key, as_key, label in (
        ("depth_cm", "depth_as", "depth"),
        ("hours_per_day", "hours_as", "hours indoors"),
        ("days", "days_as", "days housed"),
        ("rate_kg_per_day", "rate_as", "bedding rate"),
        ("area_m2", "area_as", "floor area"),
    ):
        if key not in before or key in facts or f"{key}_range" in facts or done:
            continue
        if key == "days" and before.get("days_as") == "from dates":
            continue
        for item in new:
            value = _plain_number(item)
            if value is None:
                continue
            if item.kind == "number":
                unit = _old_unit(before, as_key)
                base = lexicon.tables.units.get(
                    {
                        "in": "inch",
                        "weeks": "week",
                        "days": "day",
                        "months": "month",
                        "feet": "ft",
                        "kg/day": "kg",
                    }.get(unit, unit)
                )
                factor = (
                    base.factor * (100 if key == "depth_cm" else 1)
                    if base is not None and base.measures != "hours"
                    else 1.0
                )
                if key == "area_m2" and " x " in str(before.get(as_key, "")):
                    continue
                facts.update(span_value(key, value * factor, value * factor))
            else:
                measures = lexicon.unit(item.unit).measures
                want = {
                    "depth_cm": "length",
                    "hours_per_day": "hours",
                    "days": "time",
                    "rate_kg_per_day": "mass",
                    "area_m2": "area",
                }[key]
                if measures != want:
                    continue
                factor = 100 if key == "depth_cm" else 1
                facts.update(span_value(key, item.si[0] * factor, item.si[1] * factor))
            facts.pop("quantities", None)
            out.append(label)
            break
        if out:
            break
    quantities = [q for q in before.get("quantities", []) if isinstance(q, dict)]
    if (
        not out
        and not done
        and len(quantities) == 1
        and not facts.get("quantities")
        and not set(facts) & {"start", "end", "animals", "materials"}
    ):
        number = next((i for i in new if i.kind == "number"), None)
        value = _plain_number(number) if number is not None else None
        old = quantities[0]
        if value is not None:
            from advisor.units import convert

            unit = str(old.get("unit", ""))
            known = lexicon.tables.units.get(unit)
            if old.get("si_unit") == "degC":
                si = convert(value, "degF", "degC") if "f" in unit.lower() else value
            else:
                si = value * (known.factor if known else 1.0)
            facts["quantities"] = [{**old, "value": value, "si": si}]
            out.append(str(old.get("of", "quantity")))
    return out


def _fix_dates(
    scan: Scan, facts: dict[str, Any], before: Mapping[str, Any], new: list[Item], done: bool
) -> list[str]:
    """'the 25th not the 15th', 'April not May'."""
    skip = corrected_words(scan)
    out = []
    dates = [i for i in scan.items if i.kind == "date" and i.date is not None and i.start not in skip]
    wrong = [i for i in scan.items if i.kind == "date" and i.date is not None and i.start in skip]
    for key, label in (("start", "date in"), ("end", "date out")):
        if key not in before or len(dates) != 1:
            continue
        date = dates[0].date
        assert date is not None
        month, day = str(before[key]).split("-")[-2:]
        if date.only_day:
            days = [w.date.only_day for w in wrong if w.date is not None and w.date.only_day]
            if (days and int(day) in days) or ("start" in before) != ("end" in before):
                facts[key] = f"{month}-{date.only_day:02d}"
                out.append(label)
                break
        elif (
            date.first != date.last
            and wrong
            and wrong[0].date is not None
            and wrong[0].date.first[:2] == month
            and date.first.endswith("-01")
        ):
            facts.pop("start", None), facts.pop("end", None)
            for extra in ("start_window", "end_window"):
                facts.pop(extra, None)
            facts[key] = f"{date.first[:2]}-{day}"
            out.append(label)
            break
        else:
            stood_wrong = any(w.date is not None and w.date.day == str(before[key])[-5:] for w in wrong)
            only_one = ("start" in before) != ("end" in before)
            if stood_wrong or only_one:
                for other in ("start", "end"):
                    facts.pop(other, None)
                    facts.pop(f"{other}_window", None)
                facts[key] = date.day
                if date.first != date.last:
                    facts[f"{key}_window"] = [date.first, date.last]
                out.append(label)
                break
    for key, label in (("start", "date in"), ("end", "date out")):
        if key in facts and label not in out:
            out.append(label)
    return out
