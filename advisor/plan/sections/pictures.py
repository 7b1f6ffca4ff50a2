"""The charts of a plan: depth, moisture, carbon to nitrogen, and the bedding left."""

from __future__ import annotations

import datetime as dt

import numpy as np

from advisor.plan.document import Chart, Line, Mark
from advisor.plan.voice import Voice
from advisor.reasoning.draws import Numbers, spread, typical

__all__ = ["depth_chart", "moisture_chart", "ratio_chart", "supply_chart"]

_EVERY_DAYS = 7
_MOST_MARKS = 4


def _days(voice: Voice) -> list[int]:
    last = voice.plan.timeline.days
    days = list(range(0, last, _EVERY_DAYS))
    return [*days, last]


def _line(voice: Voice, label: str, rows: Numbers, factor: float = 1.0) -> Line:
    days = _days(voice)
    points = [spread(rows[day]) for day in days]
    dates: tuple[float | dt.date, ...] = tuple(
        voice.plan.timeline.date(day) if voice.plan.timeline.dates_told else float(day) for day in days
    )
    low, middle, high = (tuple(factor * point[i] for point in points) for i in range(3))
    return Line(label, dates, middle, low, high)


def _when(voice: Voice) -> str:
    return "date" if voice.plan.timeline.dates_told else "day"


def _name(pen: str) -> str:
    return pen.replace("_", " ")


def _ends(voice: Voice, line: Line, unit: str, digits: int) -> str:
    """What a line shows, in words."""
    first, last, low, high = line.y[0], line.y[-1], line.low[-1], line.high[-1]
    return (
        f"{voice.pen(line.label)}: from {first:.{digits}f} to {last:.{digits}f} {unit}, "
        f"likely between {low:.{digits}f} and {high:.{digits}f} {unit}".replace("  ", " ")
    )


def depth_chart(voice: Voice) -> Chart:
    """Depth of each pen's pack, with gate and headroom lines."""
    factor, unit = (1.0, "m") if voice.units == "metric" else (1 / 0.3048, "ft")
    lines = [_line(voice, _name(pen), run.depth_m, factor) for pen, run in voice.plan.packs.items()]
    at: dict[tuple[str, float], list[str]] = {}
    for pen in voice.plan.farm.pens:
        for label, height in (("gate or wall", pen.gate_height), ("headroom", pen.headroom)):
            if height:
                at.setdefault((label, height.value * factor), []).append(_name(pen.id))
    every = len(voice.plan.farm.pens)
    marks = [
        Mark(label if len(pens) == every else ", ".join((label, *pens)), height)
        for (label, height), pens in at.items()
    ]
    if len(marks) > _MOST_MARKS:
        # So many names would hide the lines: the lowest gate is met first, the words tell of the rest.
        gates = [mark for mark in marks if mark.label.startswith("gate")]
        marks = [min(gates or marks, key=lambda mark: mark.at)]
    alt = ". ".join(_ends(voice, line, unit, 2) for line in lines) + "."
    title = voice.text("chart_depth")
    return Chart("depth", title, alt, _when(voice), f"depth of the pack ({unit})", tuple(lines), tuple(marks))


def moisture_chart(voice: Voice) -> Chart:
    """Moisture of the top against the dry limit."""
    lines = [_line(voice, _name(pen), run.top_moisture, 100.0) for pen, run in voice.plan.packs.items()]
    limit = voice.plan.results["top_moisture_limit"]
    marks = (Mark("dry limit", 100.0 * limit.spread()[1]),) if limit is not None else ()
    alt = ". ".join(_ends(voice, line, "percent", 0) for line in lines) + "."
    title = voice.text("chart_moisture")
    return Chart("moisture", title, alt, _when(voice), "water in the top layer (%)", tuple(lines), marks)


def ratio_chart(voice: Voice) -> Chart:
    """Carbon to nitrogen against the goal band."""
    lines = [_line(voice, _name(pen), run.c_to_n) for pen, run in voice.plan.packs.items()]
    low, high = (typical(voice.plan.engine.value(name)) for name in ("goal_c_to_n_low", "goal_c_to_n_high"))
    alt = ". ".join(_ends(voice, line, "to one", 0) for line in lines) + "."
    title = voice.text("chart_ratio")
    return Chart(
        "ratio",
        title,
        alt,
        _when(voice),
        "carbon to nitrogen (by weight)",
        tuple(lines),
        (Mark("goal", low, high),),
    )


def supply_chart(voice: Voice) -> Chart | None:
    """What is left of each material on hand as the plan uses it; nothing where nothing is on hand."""
    plan = voice.plan
    factor, unit = (0.001, "t") if voice.units == "metric" else (1 / 907.18474, "short tons")
    lines = []
    for supply in voice.supplies:
        on_hand = plan.engine.value("usable_on_hand_kg", ("material", supply.key))
        if not supply.bedding or typical(on_hand) <= 0:
            continue
        used = np.zeros(plan.timeline.days + 1)
        used[0] = sum(pen.get(supply.key, 0.0) for pen in plan.decision.base_kg.values())
        for materials in plan.decision.rates.values():
            for rate, period in zip(materials.get(supply.key, ()), plan.timeline.periods, strict=False):
                used[period.first + 1 : period.first + period.days + 1] += rate
        left = np.maximum(0.0, np.atleast_1d(on_hand)[None, :] - np.cumsum(used)[:, None])
        lines.append(_line(voice, voice.material(supply.key), left, factor))
    if not lines:
        return None
    alt = ". ".join(
        f"{line.label}: {line.y[0]:.1f} {unit} at the start, {line.y[-1]:.1f} {unit} at turnout"
        for line in lines
    )
    title = voice.text("chart_supply")
    return Chart("supply", title, alt + ".", _when(voice), f"bedding left ({unit})", tuple(lines))
