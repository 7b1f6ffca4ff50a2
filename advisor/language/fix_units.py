"""Corrections of a unit: 'pounds, not kilos'."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from advisor.language.degrees import to_celsius
from advisor.language.found import span_value
from advisor.language.lexicon import Lexicon
from advisor.language.replaced import PART
from advisor.language.scan import Scan

__all__ = ["fix_units", "swapped_units"]

#: what may stand between the right unit and 'not': 'inches I meant, not centimetres'
_UNSAID = frozenset((",", "i", "meant", "mean", "that", "is", "was", "in", "it", "should", "have", "said"))

#: key of the value, key of the user's own wording, what the unit must measure, factor from SI to the key
_SCALARS = (
    ("depth_cm", "depth_as", "length", 100.0), ("rate_kg_per_day", "rate_as", "mass", 1.0),
    ("area_m2", "area_as", "length", 1.0), ("area_m2", "area_as", "area", 1.0),
)  # fmt: skip


def swapped_units(scan: Scan, lexicon: Lexicon, before: Mapping[str, Any]) -> tuple[str, str] | None:
    """(right unit, wrong unit) of 'pounds not kilos' where something was told in the wrong one."""
    texts = [t.text for t in scan.tokens]
    for at in range(1, len(texts)):
        skip = (
            1
            if texts[at] == "not"
            else 2
            if texts[at : at + 2] in (["instead", "of"], ["rather", "than"])
            else 0
        )
        if not skip:
            continue
        wrong_at = at + skip
        while wrong_at < len(texts) and texts[wrong_at] in ("in", "the"):
            wrong_at += 1
        wrong = lexicon.units.match(texts, wrong_at) if wrong_at < len(texts) else None
        right = None
        for start in range(at - 1, max(-1, at - 6), -1):
            found = lexicon.units.match(texts, start) if texts[start] not in _UNSAID else None
            if found and set(texts[found[1] : at]) <= _UNSAID:
                right = found
                break
        if wrong and right and wrong[0].value != right[0].value:
            pair = right[0].value, wrong[0].value
            same = lexicon.unit(pair[0]).measures == lexicon.unit(pair[1]).measures
            if same and (_told_in(before, pair[1], lexicon)):
                return pair
    return _renamed(texts, lexicon, before)


def _renamed(texts: list[str], lexicon: Lexicon, before: Mapping[str, Any]) -> tuple[str, str] | None:
    """'I wrote metres, it is feet', 'that was in fahrenheit'."""
    named = [
        (at, found[0].value)
        for at in range(len(texts))
        if texts[at] not in ("in", "a", "m", "c", "f") and (found := lexicon.units.match(texts, at))
    ]
    if any(text[:1].isdigit() for text in texts) or not 1 <= len(named) <= 2 or len(texts) > 10:
        return None
    right = named[-1][1]
    lead = set(texts[: named[-1][0]])
    if not lead & {"is", "are", "was", "were", "be", "meant", "mean", "should"}:
        return None
    others = [named[0][1]] if len({name for _, name in named}) == 2 else list(lexicon.tables.units)
    for wrong in others:
        same = lexicon.unit(right).measures == lexicon.unit(wrong).measures
        if wrong != right and same and _told_in(before, wrong, lexicon):
            return right, wrong
    return None


def _unit_of(said: object, lexicon: Lexicon) -> str:
    match = PART.search(str(said).lower().replace(",", ""))
    found = lexicon.units.match([match[2]], 0) if match and match[2] else None
    return found[0].value if found else ""


def _told_in(before: Mapping[str, Any], unit: str, lexicon: Lexicon) -> bool:
    said = [v for k, v in before.items() if k.endswith("_as")]
    for entry in (*before.get("animals", []), *before.get("materials", []), *before.get("quantities", [])):
        said += [v for k, v in entry.items() if k.endswith("_as")]
        if _same(entry.get("unit"), unit, lexicon):
            return True
    return any(_same(_unit_of(v, lexicon), unit, lexicon) for v in said)


def _same(one: object, other: str, lexicon: Lexicon) -> bool:
    kin = {"ton", "tonne"}
    return one == other or {str(one), other} <= kin


def _values(said: object) -> list[float]:
    """The numbers in a user's own wording."""
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", str(said).replace(",", ""))]


def fix_units(scan: Scan, lexicon: Lexicon, facts: dict[str, Any], before: Mapping[str, Any]) -> list[str]:
    """Read what was told in the wrong unit again in the right one; returns the words for what was corrected."""
    pair = swapped_units(scan, lexicon, before)
    if pair is None:
        return []
    right, wrong = pair
    factor = lexicon.unit(right).factor
    given = [i for i in scan.items if i.kind == "amount" and i.unit == right and i.number is not None]
    said = given[0].number.low if given and given[0].number else None
    measures = lexicon.unit(right).measures
    corrects: list[str] = []
    for key in ("animals", "materials", "quantities", "no_animals", "no_materials"):
        facts.pop(key, None)
    for entry in before.get("animals", []):
        told = _values(entry.get("weight_as", ""))
        if measures == "mass" and told and _same(_unit_of(entry["weight_as"], lexicon), wrong, lexicon):
            value = said if said is not None else told[0]
            new = {"class": entry["class"], **span_value("weight_kg", value * factor, value * factor)}
            facts.setdefault("animals", []).append({**new, "weight_as": f"{value:g} {right}"})
            corrects.append(f"weight of {entry['class']}")
    for entry in before.get("materials", []):
        fixed = _material(entry, right, wrong, factor, said, lexicon)
        if fixed:
            facts.setdefault("materials", []).append(fixed)
            corrects.append(f"amount of {entry['name']}")
    for key, as_key, wanted, scale in _SCALARS:
        told = _values(before.get(as_key, ""))
        if measures != wanted or not told or not _same(_unit_of(before[as_key], lexicon), wrong, lexicon):
            continue
        if key == "area_m2" and wanted == "length":
            if len(told) != 2:
                continue
            value = told[0] * told[1] * factor * factor
            facts["area_as"] = f"{told[0]:g} {right} x {told[1]:g} {right}"
        else:
            value = (said if said is not None else told[0]) * factor * scale
            facts[as_key] = f"{told[0]:g} {right}"
        facts.update(span_value(key, value, value))
        corrects.append({"depth_cm": "depth", "rate_kg_per_day": "bedding rate"}.get(key, "floor area"))
    for entry in before.get("quantities", []):
        if (
            measures == "temperature"
            and _same(entry.get("unit"), wrong, lexicon)
            and _values(entry.get("value", ""))
        ):
            value = said if said is not None else float(entry["value"])
            new = {**entry, "value": value, "unit": right, "si": round(to_celsius(value, right), 4)}
            facts.setdefault("quantities", []).append(new)
            corrects.append(str(entry.get("of", "temperature")))
    return corrects


def _material(
    entry: Mapping[str, Any], right: str, wrong: str, factor: float, said: float | None, lexicon: Lexicon
) -> dict[str, Any] | None:
    key = "mass_kg" if lexicon.unit(right).measures == "mass" else "volume_m3"
    if _same(entry.get("unit"), wrong, lexicon) and isinstance(entry.get("amount"), int | float):
        value = said if said is not None else entry["amount"]
        return {
            "name": entry["name"],
            "amount": value,
            "unit": right,
            **span_value(key, value * factor, value * factor),
        }
    told = _values(entry.get("unit_mass_as", ""))
    if key == "mass_kg" and told and _same(_unit_of(entry["unit_mass_as"], lexicon), wrong, lexicon):
        value = (said if said is not None else told[0]) * factor
        new = {"name": entry["name"], **{k: entry[k] for k in ("amount", "unit") if k in entry}}
        new.update(span_value("unit_mass_kg", value, value))
        if isinstance(entry.get("amount"), int | float):
            new.update(span_value("mass_kg", value * entry["amount"], value * entry["amount"]))
        return new
    return None
