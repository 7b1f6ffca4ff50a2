"""Planned against recorded against forecast: charts for paper and screen, and a short one for the terminal."""

from __future__ import annotations

import datetime as dt
import re

import numpy as np

from advisor.plan.document import Chart, Line, Mark
from advisor.plan.voice import sentences
from advisor.plan.wording import Units
from advisor.reasoning.draws import Numbers, spread
from advisor.record.entries import Depth, Moisture
from advisor.record.forecast import Forecast

__all__ = ["chart_files", "charts", "text_chart"]

_EVERY_DAYS = 7
_FT_M = 0.3048
_ROWS, _COLUMNS = 9, 60


def charts(forecast: Forecast, units: Units) -> list[Chart]:
    """Depth and moisture of the top for each pen, and bedding used."""
    words = sentences("season")
    factor, unit = (1.0, "m") if units == "metric" else (1.0 / _FT_M, "ft")
    out: list[Chart] = []
    for pen in forecast.learned.farm.pens:
        name = pen.id.replace("_", " ")
        now, before = forecast.learned.packs[pen.id], forecast.plan.packs[pen.id]
        depths = [
            (e.date, e.depth.value) for e in forecast.record if isinstance(e, Depth) and e.pen in ("", pen.id)
        ]
        marks = [Mark("gate or wall", pen.gate_height.value * factor)] if pen.gate_height else []
        title = words["chart_depth"].format(pen=name)
        out.append(
            _chart(forecast, f"depth {pen.id}", title, f"depth of the pack ({unit})",
                   before.depth_m, now.depth_m, factor, depths, marks)
        )  # fmt: skip
        wet = [
            (e.date, e.moisture.value)
            for e in forecast.record
            if isinstance(e, Moisture) and e.of == "top" and e.pen in ("", pen.id)
        ]
        limit = forecast.learned.results["top_moisture_limit"]
        dry = [Mark("dry limit", 100.0 * limit.spread()[1])] if limit is not None else []
        title = words["chart_moisture"].format(pen=name)
        out.append(
            _chart(forecast, f"moisture {pen.id}", title, "water in the top layer (%)",
                   before.top_moisture, now.top_moisture, 100.0, wet, dry)
        )  # fmt: skip
    out.append(_used(forecast, units))
    return out


def chart_files(forecast: Forecast, units: Units) -> dict[str, str]:
    """The charts as pictures of their own, by file name."""
    from advisor.plan.charts import chart_svg

    head = '<?xml version="1.0" encoding="UTF-8"?>\n'
    return {
        f"{re.sub('[^a-z0-9]+', '_', chart.id.casefold()).strip('_')}.svg": head + chart_svg(chart)
        for chart in charts(forecast, units)
    }


def _chart(
    forecast: Forecast,
    id_: str,
    title: str,
    axis: str,
    before: Numbers,
    now: Numbers,
    factor: float,
    read: list[tuple[dt.date, float]],
    marks: list[Mark],
) -> Chart:
    words, day, last = sentences("season"), forecast.day, forecast.season.days
    lines = [_line(forecast, words["line_plan"], before, factor, 0, last, band=False)]
    if day > 0:
        lines.append(_line(forecast, words["line_past"], now, factor, 0, day))
    if day < last:
        lines.append(_line(forecast, words["line_future"], now, factor, day, last))
    if read:
        kept = sorted(read)
        lines.append(Line(words["line_read"], tuple(d for d, _ in kept), tuple(v * factor for _, v in kept)))
    low, middle, high = (factor * each for each in spread(now[last]))
    digits = 0 if factor == 100.0 else 2
    alt = (
        f"{title}: planned to end at {factor * spread(before[-1])[1]:.{digits}f}, now likely {middle:.{digits}f} "
        f"({low:.{digits}f} to {high:.{digits}f})."
    )
    return Chart(id_.replace(" ", "_"), title, alt, "date", axis, tuple(lines), tuple(marks))


def _line(
    forecast: Forecast, label: str, rows: Numbers, factor: float, first: int, last: int, band: bool = True
) -> Line:
    days = [
        d
        for d in sorted({*range(0, forecast.season.days, _EVERY_DAYS), forecast.day, forecast.season.days})
        if first <= d <= last
    ]
    points = [spread(rows[min(day, rows.shape[0] - 1)]) for day in days]
    dates: tuple[float | dt.date, ...] = tuple(forecast.season.date(day) for day in days)
    low, middle, high = (tuple(factor * point[i] for point in points) for i in range(3))
    return Line(label, dates, middle, low if band else (), high if band else ())


def _used(forecast: Forecast, units: Units) -> Chart:
    """Bedding used day by day, base not counted."""
    words, days = sentences("season"), forecast.season.days
    factor, unit = (0.001, "t") if units == "metric" else (1 / 907.18474, "short tons")
    planned, now = np.zeros(days), np.zeros(days)
    for periods, decision, total in ((forecast.plan.timeline.periods, forecast.plan.decision, planned),):
        for materials in decision.rates.values():
            for rates in materials.values():
                for period, rate in zip(periods, rates, strict=False):
                    total[period.first : period.first + period.days] += rate
    for pen, by_day in forecast.rest.by_day.items():
        now += by_day.sum(axis=0)
        for row in forecast.ledger.rows:
            if row.pen == pen and row.key:
                now += row.kg_by_day
    at = sorted({*range(0, days, _EVERY_DAYS), forecast.day, days})

    def line(label: str, daily: Numbers, first: int, last: int) -> Line:
        sums = np.concatenate(([0.0], np.cumsum(daily)))
        chosen = [day for day in at if first <= day <= last]
        dates: tuple[float | dt.date, ...] = tuple(forecast.season.date(day) for day in chosen)
        return Line(label, dates, tuple(factor * float(sums[day]) for day in chosen))

    lines = [line(words["line_plan"], planned, 0, days)]
    if forecast.day > 0:
        lines.append(line(words["line_past"], now, 0, forecast.day))
    if forecast.day < days:
        lines.append(line(words["line_future"], now, forecast.day, days))
    alt = (
        f"Planned for the whole winter: {factor * planned.sum():.1f} {unit}; "
        f"as it goes now: {factor * now.sum():.1f} {unit}."
    )
    return Chart("used", words["chart_used"], alt, "date", f"bedding used ({unit})", tuple(lines))


def text_chart(forecast: Forecast, pen: str, units: Units) -> str:
    """The depth of a pen's pack as a few lines of text: '.' planned, '#' recorded days, ':' forecast, 'o' read."""
    words = sentences("season")
    factor, unit = (1.0, "m") if units == "metric" else (1.0 / _FT_M, "ft")
    days, day = forecast.season.days, forecast.day
    now = forecast.learned.packs[pen].depth_m
    before = forecast.plan.packs[pen].depth_m
    middle = np.array([spread(row)[1] for row in now])
    meant = np.array([spread(row)[1] for row in before])
    read = {
        (e.date - forecast.season.start).days: e.depth.value
        for e in forecast.record
        if isinstance(e, Depth) and e.pen in ("", pen)
    }
    top = max(float(middle.max()), float(meant.max()), *read.values(), 0.1) * 1.05
    grid = [[" "] * _COLUMNS for _ in range(_ROWS)]

    def put(at_day: float, depth: float, mark: str) -> None:
        column = min(_COLUMNS - 1, int(at_day / max(1, days) * (_COLUMNS - 1)))
        row = _ROWS - 1 - min(_ROWS - 1, max(0, int(depth / top * _ROWS)))
        grid[row][column] = mark

    for column in range(_COLUMNS):
        at = round(column / (_COLUMNS - 1) * days)
        put(at, float(meant[min(at, len(meant) - 1)]), ".")
    for column in range(_COLUMNS):
        at = round(column / (_COLUMNS - 1) * days)
        put(at, float(middle[at]), "#" if at <= day else ":")
    for at, depth in read.items():
        if 0 <= at <= days:
            put(at, depth, "o")
    lines = []
    for number, row in enumerate(grid):
        level = top * (_ROWS - number) / _ROWS * factor
        lines.append(f"{level:5.2f} {unit:>2} |{''.join(row).rstrip()}")
    lines.append(f"{'':8} +{'-' * _COLUMNS}")
    start, end = (
        f"{d.day}.{d.month}." if units == "metric" else f"{d.month}/{d.day}"
        for d in (forecast.season.start, forecast.season.end)
    )
    lines.append(f"{'':10}{start}{end:>{_COLUMNS - len(start)}}")
    key = ", ".join(
        f"{mark} {words[name]}"
        for mark, name in ((".", "line_plan"), ("#", "line_past"), (":", "line_future"), ("o", "line_read"))
    )
    title = words["chart_depth"].format(pen=pen.replace("_", " "))
    return "\n".join([f"{title} ({key})", *lines]) + "\n"
