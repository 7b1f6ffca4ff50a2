"""Corrections of the floor, of single values and of dates."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from advisor.language.dates import days_between
from advisor.language.degrees import to_celsius
from advisor.language.found import span_value
from advisor.language.lexicon import Lexicon
from advisor.language.replaced import PART, corrected_words, old_unit, plain_number
from advisor.language.scan import Item, Scan

__all__ = ["fix_area", "fix_dates", "fix_scalars"]

_ACROSS = {"wide", "width", "across", "broad"}
_ALONG = {"long", "length"}


def sides_of(as_text: str) -> list[tuple[float, str]]:
    parts = re.split(r"\s*x\s*", as_text)
    out = []
    for part in parts:
        match = PART.search(part)
        if match:
            try:
                value = float(match[1])
            except ValueError:
                continue
            inches = re.search(r"\+\s*([\d.]+)\s*in", part)
            out.append((value + (float(inches[1]) / 12 if inches else 0.0), match[2]))
    return out


def fix_area(
    scan: Scan, before: Mapping[str, Any], new: list[Item], denied: list[tuple[Item, float]], lexicon: Lexicon
) -> dict[str, Any] | None:
    sides = sides_of(str(before.get("area_as", "")))
    if len(sides) != 2 or len(new) != 1:
        return None
    item = new[0]
    value = plain_number(item)
    unit = item.unit or ""
    if value is None or (unit and lexicon.unit(unit).measures != "length"):
        return None
    place = None
    for _, old in denied:
        place = next((k for k, (side, _) in enumerate(sides) if abs(side - old) < 1e-6), place)
    if place is None:
        named = [
            (abs(at - item.start), token.text)
            for at, token in enumerate(scan.tokens)
            if token.text in _ACROSS | _ALONG
        ]
        if not named:
            return None
        pick = min if min(named)[1] in _ACROSS else max  # 'the length is 24 m, the width was right'
        place = pick((0, 1), key=lambda k: sides[k][0])
    shared = next((u for _, u in reversed(sides) if u), "m")
    sides = [(v, u or shared) for v, u in sides]
    sides[place] = (value, unit or sides[place][1])
    area = 1.0
    for side, side_unit in sides:
        names = {"feet": "ft", "foot": "ft", "'": "ft", "metre": "m", "metres": "m", "meter": "m"}
        side_unit = names.get(side_unit, side_unit)
        area *= side * (lexicon.tables.units[side_unit].factor if side_unit in lexicon.tables.units else 1.0)
    return {**span_value("area_m2", area, area), "area_as": " x ".join(f"{v:g} {u}" for v, u in sides)}


def fix_scalars(
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
            value = plain_number(item)
            if value is None:
                continue
            if item.kind == "number":
                unit = old_unit(before, as_key)
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
        value = plain_number(number) if number is not None else None
        old = quantities[0]
        if value is not None:
            unit = str(old.get("unit", ""))
            known = lexicon.tables.units.get(unit)
            if old.get("si_unit") == "degC":
                si = to_celsius(value, "degF") if "f" in unit.lower() else value
            else:
                si = value * (known.factor if known else 1.0)
            facts["quantities"] = [{**old, "value": value, "si": si}]
            out.append(str(old.get("of", "quantity")))
    return out


def _said_before(scan: Scan) -> set[int]:
    """'I said they are out in May, but is better end of April': the date that was said, of two."""
    dates = [item for item in scan.items if item.kind == "date"]
    led = [token.text for token in scan.tokens[: dates[0].start]] if len(dates) == 2 else []
    return {dates[0].start} if "said" in led and "should" not in led else set()


def fix_dates(
    scan: Scan, facts: dict[str, Any], before: Mapping[str, Any], new: list[Item], done: bool
) -> list[str]:
    """'the 25th not the 15th', 'April not May'."""
    skip = corrected_words(scan) | _said_before(scan)
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
    start, end = (str(facts.get(key) or before.get(key) or "") for key in ("start", "end"))
    if start and end and "days" in before and {"start", "end"} & facts.keys() and "days" not in facts:
        facts["days"] = days_between(start[-5:], end[-5:])
        facts["days_as"] = "from dates"
    for key, label in (("start", "date in"), ("end", "date out")):
        if key in facts and label not in out:
            out.append(label)
    return out
