"""Any two plans side by side: as a document, and as data."""

from __future__ import annotations

import json
import math
from typing import Any

from advisor import __version__
from advisor.plan.as_json import result_data, short
from advisor.plan.differences import COMPARED, MONEY, Difference, compare
from advisor.plan.document import Block, Column, Document, Paragraph, Section, Table
from advisor.plan.make import Plan
from advisor.plan.results import FARM_RESULTS, HEADLINES
from advisor.plan.voice import Units, Voice, sentences
from advisor.plan.wording import say, say_number, shown_unit
from advisor.reasoning.engine import Node

__all__ = ["comparison_document", "comparison_json"]

SCHEMA_VERSION = 1

#: what a keeper compares two farms by: what two ways of one farm are compared by, and what each leaves behind
_SHOWN: tuple[str, ...] = (
    *COMPARED,
    *(name for name in HEADLINES if name not in COMPARED),
    "ammonia_ppm",
    "season_cost",
    "season_cost_head",
    "compost_mass_kg",
    "land_area_ha",
)


def _sentence(name: str, /, **values: Any) -> str:
    """A sentence of the comparison."""
    return sentences("compare")[name].format(**values)


def comparison_document(a: Plan, b: Plan, names: tuple[str, str], units: Units) -> Document:
    """The headline results of two plans, what differs, and whether that is more than chance."""
    voice, other = Voice(a, units), Voice(b, units)
    rows = [row for row in compare(a, b, _shown(a, b)) if _worth_a_row(row)]
    columns = (Column(""), Column("A"), Column("B"), *map(Column, map(_sentence, ("column_difference",
               "column_chance"))))  # fmt: skip
    cells = tuple(
        (
            _label(row),
            _cell(voice, row.name, row.before),
            _cell(other, row.name, row.after),
            _change(voice, row),
            _chance(row),
        )
        for row in rows
    )
    blocks: list[Block] = [
        Paragraph(_sentence("a_line", name=names[0], heads=voice.heads(), days=_length(voice))),
        Paragraph(_sentence("b_line", name=names[1], heads=other.heads(), days=_length(other))),
        Table("compare", _sentence("table"), columns, cells),
        Paragraph(_sentence("meaning")),
        Paragraph(_sentence("how"), "reason"),
    ]
    if not any(row.matters for row in rows):
        blocks.insert(0, Paragraph(_sentence("nothing"), "lead"))
    return Document(
        title=_sentence("title"),
        subtitle=_sentence("subtitle", a=names[0], b=names[1]),
        farm="",
        date=a.today,
        units=units,
        sections=(Section("compare", _sentence("section"), tuple(blocks)),),
    )


def comparison_json(a: Plan, b: Plan, names: tuple[str, str]) -> str:
    """Every result of both plans with its difference (advisor/contracts/compare_result.schema.json)."""
    data = {
        "schema_version": SCHEMA_VERSION,
        "made_by": f"byrewise {__version__}",
        "today": a.today.isoformat(),
        "seed": a.engine.draws.seed,
        "draws": a.engine.draws.count,
        "a": names[0],
        "b": names[1],
        "headlines": list(_shown(a, b)),
        "results": {name: _row(a, b, name) for name in FARM_RESULTS},
    }
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _shown(a: Plan, b: Plan) -> tuple[str, ...]:
    """What is shown; amounts of two different moneys are not compared."""
    return tuple(name for name in _SHOWN if name not in MONEY or _same_money(a, b))


def _same_money(a: Plan, b: Plan) -> bool:
    one, other = (plan.farm.prices.currency if plan.farm.prices else "" for plan in (a, b))
    return one == other


def _row(a: Plan, b: Plan, name: str) -> dict[str, Any]:
    before, after = a.results.get(name), b.results.get(name)
    row = Difference(name, before, after)
    change = row.change
    told = None
    if name in MONEY and not _same_money(a, b):
        change = None
    if change is not None and before is not None and all(map(math.isfinite, change)):
        low, middle, high = map(short, change)
        told = {"value": middle, "low": low, "high": high, "unit": before.unit or "1"}
    return {
        "a": result_data(before),
        "b": result_data(after),
        "difference": told,
        "more_than_chance": row.more_than_chance if told else None,
    }


def _length(voice: Voice) -> str:
    return say(float(voice.plan.timeline.days), "day", voice.units, 3)


def _label(row: Difference) -> str:
    node = row.before or row.after
    label = node.label if node is not None else row.name
    return label[0].upper() + label[1:]


def _worth_a_row(row: Difference) -> bool:
    """No row of nothing on both sides."""
    return any(node is not None and node.spread()[2] > 0 for node in (row.before, row.after))


def _cell(voice: Voice, name: str, node: Node | None) -> str | None:
    if node is None:
        return None
    return voice.money(node.spread()[1]) if name in MONEY else voice.ranged(node)


def _change(voice: Voice, row: Difference) -> str:
    """The difference in words, with the range that the draws give it."""
    node, change = row.before, row.change
    if node is None or change is None:
        return _sentence("only_one")
    if not row.matters:
        return _sentence("alike")

    def amount(value: float) -> str:
        if row.name in MONEY:
            return voice.money(value)
        if shown_unit(row.name, node.unit) == "fraction":  # a share less a share is no share of either
            return _sentence("points", value=say_number(100.0 * value))
        return say(value, shown_unit(row.name, node.unit), voice.units)

    low, middle, high = change
    if row.name not in MONEY and low < 0.0 < high:
        return _sentence("either", low=amount(-low), high=amount(high))
    way = "more" if middle > 0 else "less"
    ends = sorted((abs(low), abs(high)))
    told = amount(abs(middle))
    if row.name in MONEY or amount(ends[0]) == amount(ends[1]):
        return _sentence(way, amount=told)
    return _sentence(f"{way}_range", amount=told, low=amount(ends[0]), high=amount(ends[1]))


def _chance(row: Difference) -> str:
    if row.more_than_chance is None:
        return _sentence("only_one")
    if not row.matters:
        return _sentence("alike")
    return _sentence("yes" if row.more_than_chance else "no")
