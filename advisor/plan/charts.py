"""Charts as SVG, drawn so that they still read in black and white and for colour-blind eyes.

Every line has its own dash as well as its own colour, a range is a shaded band with drawn edges, a goal is
hatched, and levels carry their name on the line. Text stays text, so that it can be searched and scaled.
Same chart, same bytes.
"""

from __future__ import annotations

import datetime as dt
import io
import math
import re
import warnings
from collections.abc import Sequence
from functools import lru_cache
from html import escape
from typing import TYPE_CHECKING, Any

from advisor.plan.chart_data import axis_unit, mark_text
from advisor.plan.document import Chart, Mark
from advisor.plan.fonts import Face
from advisor.plan.writing import clean, label, month_name, wrap

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["chart_svg"]

# Okabe and Ito's colours (jfly.uni-koeln.de/color), the ones with 3:1 contrast on white, and dashes to match.
_STYLES = (
    ("#0072B2", "-"),
    ("#D55E00", (0, (5, 2))),
    ("#000000", (0, (1.5, 1.5))),
    ("#007A5A", (0, (6, 2, 1, 2))),
)
_INK = "#222222"
_GOAL = "#007A5A"
_FONT = "DejaVu Sans"
# Small enough to be shown at full size on a phone, and half as wide as a printed page.
_WIDTH_IN, _HEIGHT_IN, _FONT_PT = 3.5, 2.4, 9.5
_WIDTH_EM = _WIDTH_IN * 72 / _FONT_PT
_AXES_EM = 0.7 * _HEIGHT_IN * 72 / _FONT_PT  # about what is left of the height once key and names are placed


def chart_svg(chart: Chart, prefix: str = "", outlined: tuple[Face, ...] = ()) -> str:
    """The chart as an `<svg>` element with title and description; ids in it start with `prefix`.

    Its words stay text, unless faces are given: then they become outlines of those.
    """
    return _finished(_drawn(chart, outlined), chart, prefix)


@lru_cache(maxsize=32)  # page and paper show the same pictures
def _drawn(chart: Chart, outlined: tuple[Face, ...]) -> str:
    import matplotlib as mpl
    from matplotlib import font_manager
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    for face in outlined:
        for path in face.files:
            font_manager.fontManager.addfont(path)
    settings = {
        **mpl.rcParamsDefault,
        "svg.fonttype": "path" if outlined else "none",
        "svg.hashsalt": "byrewise",
        "text.parse_math": False,  # a dollar sign in a farm's words is a dollar sign
        "font.family": [face.family for face in outlined] or [_FONT],
        "font.size": _FONT_PT,
        "text.color": _INK,
        "axes.labelcolor": _INK,
        "axes.edgecolor": _INK,
        "xtick.color": _INK,
        "ytick.color": _INK,
        "hatch.linewidth": 0.5,
    }
    settings.pop("backend", None)
    out = io.StringIO()
    with warnings.catch_warnings(), mpl.rc_context(settings):
        # Letters that the measuring font lacks are drawn by whoever shows the picture.
        warnings.simplefilter("ignore")
        height_in = min(_HEIGHT_IN, 0.4 + 0.36 * len(chart.bars)) if chart.bars else _HEIGHT_IN
        if _many(chart):
            long = any(len(clean(line.label)) > 0.7 * _WIDTH_EM for line in chart.lines)
            height_in += 0.25 if long else -0.15  # what two columns of names need, or save
        figure = Figure(figsize=(_WIDTH_IN, height_in), layout="constrained")
        FigureCanvasSVG(figure)
        axes = figure.add_subplot()
        axes.spines[["top", "right"]].set_visible(False)
        if chart.bars:
            _draw_bars(axes, chart)
        else:
            _draw_lines(axes, chart)
        figure.savefig(
            out, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None}
        )
    return out.getvalue()


def _draw_bars(axes: Axes, chart: Chart) -> None:
    names = [_folded(bar.label, _WIDTH_EM * 0.75) for bar in chart.bars]
    shares = [100 * bar.share for bar in chart.bars]
    places = range(len(shares))
    axes.barh(places, shares, height=0.55, color=_STYLES[0][0], edgecolor=_INK, linewidth=0.8)
    for place, share in zip(places, shares, strict=True):
        axes.annotate(f"{share:.0f} %", (share, place), (4, 0), textcoords="offset points", va="center")
    axes.set_yticks(list(places), names)
    axes.invert_yaxis()
    axes.tick_params(length=0)
    axes.set_xticks([])
    axes.spines["bottom"].set_visible(False)
    axes.set_xlim(0, 1.22 * max(shares) if max(shares) > 0 else 1)


def _draw_lines(axes: Axes, chart: Chart) -> None:
    keys: list[Any] = []
    names: list[str] = []
    for at, line in enumerate(chart.lines):
        colour, dash = _STYLES[at % len(_STYLES)]
        x: Any = line.x
        y = _finite(line.y)
        name = clean(line.label)
        (drawn,) = axes.plot(x, y, color=colour, linestyle=dash, linewidth=2.0)
        key: Any = drawn
        if line.low and len(line.low) == len(line.high) == len(line.x):
            low, high = _finite(line.low), _finite(line.high)
            band = axes.fill_between(x, low, high, color=colour, alpha=0.18, linewidth=0)
            for edge in (low, high):
                axes.plot(x, edge, color=colour, linewidth=0.6)
            key = (band, drawn)
            if not _many(chart):
                name = f"{name}, {label('with_range')}"
        keys.append(key)
        names.append(name)
    _limits(axes, chart)
    for mark in chart.marks:
        _draw_mark(axes, mark)
    if chart.lines and any(isinstance(x, dt.date) for line in chart.lines for x in line.x):
        _date_axis(axes)
    elif chart.x_label:
        axes.set_xlabel(_folded(chart.x_label, _WIDTH_EM * 1.5))
    _name_marks(axes, chart)
    axes.set_title(_folded(chart.y_label, _WIDTH_EM * 1.5), loc="left", fontsize="medium")
    if _many(chart) and any(line.low for line in chart.lines):
        from matplotlib.patches import Patch

        keys.append(Patch(facecolor="#BBBBBB", edgecolor=_INK, linewidth=0.6))
        names.append(label("with_range"))
    axes.grid(axis="y", color="#DDDDDD", linewidth=0.6)
    axes.set_axisbelow(True)
    if len(keys) > 1 or any(isinstance(key, tuple) for key in keys):
        # A name that starts with an underscore would be left out of the key.
        shown = [_folded(name, _WIDTH_EM * (0.7 if _many(chart) else 1.4)) or " " for name in names]
        shown = [" " + name if name.startswith("_") else name for name in shown]
        columns = 2 if _many(chart) else 1
        axes.figure.legend(
            keys, shown, loc="outside lower left", frameon=False, ncols=columns, fontsize="small"
        )


def _many(chart: Chart) -> bool:
    """Whether the key has many names: they stand in two columns, and what is shaded is said once."""
    return len(chart.lines) > 2


def _finite(values: Sequence[float]) -> list[float]:
    return [value if math.isfinite(value) else math.nan for value in values]


def _folded(text: str, width_em: float) -> str:
    """At most two lines; the words beside the picture hold the rest."""
    lines = wrap(clean(text), round(width_em))
    return "\n".join(lines if len(lines) <= 2 else [lines[0], lines[1][:-1] + "…"])


def _limits(axes: Axes, chart: Chart) -> None:
    """Room for all lines and marks; from nought unless that would press the lines flat at the top."""
    values = [v for line in chart.lines for part in (line.y, line.low, line.high) for v in part]
    values += [v for mark in chart.marks for v in (mark.at, mark.to) if v is not None]
    values = [v for v in values if math.isfinite(v)]
    if not values:
        return
    low, high = min(values), max(values)
    if 0 <= low < 0.5 * high:
        low = 0.0
    room = (high - low) or abs(high) or 1.0
    axes.set_ylim(low if low == 0 else low - 0.06 * room, high + 0.18 * room)
    axes.margins(x=0.01)


def _draw_mark(axes: Axes, mark: Mark) -> None:
    if mark.to is None:
        axes.axhline(mark.at, color=_INK, linewidth=1.2, linestyle=(0, (3, 2)))
        return
    axes.axhspan(mark.at, mark.to, facecolor=_GOAL, alpha=0.12, linewidth=0)
    axes.axhspan(mark.at, mark.to, facecolor="none", edgecolor=_GOAL, hatch="///", linewidth=0, alpha=0.35)
    for edge in (mark.at, mark.to):
        axes.axhline(edge, color=_GOAL, linewidth=0.9)


def _name_marks(axes: Axes, chart: Chart) -> None:
    """The name of each level on its line, of each band inside it, where the fewest points of a line are."""
    low, high = axes.get_ylim()
    step = 1.9 * (high - low) / _AXES_EM  # about the height of one line of small type with its frame
    taken: list[tuple[float, bool]] = []
    for mark in chart.marks:
        folded = _folded(mark_text(mark, axis_unit(chart.y_label)), _WIDTH_EM * 1.2)
        tall = step * (1 + folded.count("\n"))
        if mark.to is None:
            heights = [mark.at, mark.at - tall]
        else:
            heights = [max(mark.at, mark.to) - tall, min(mark.at, mark.to), max(mark.at, mark.to)]
        places = [(at, right) for at in heights if low <= at and at + tall <= high for right in (False, True)]
        at, right = min(
            places or [(mark.at, False)],
            key=lambda place: (
                sum(abs(place[0] - other) < tall and place[1] == side for other, side in taken),
                _points_under(chart, place[0], place[1], tall),
            ),
        )
        taken.append((at, right))
        axes.annotate(
            folded,
            (0.985 if right else 0.015, at),
            xycoords=("axes fraction", "data"),
            xytext=(0, 2.5),
            textcoords="offset points",
            ha="right" if right else "left",
            va="bottom",
            fontsize="small",
            bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 0.6},
        )


def _points_under(chart: Chart, at: float, right: bool, tall: float) -> int:
    """How many points of the lines would lie under a name at that height on that side."""
    count = 0
    for line in chart.lines:
        half = len(line.x) // 2
        part = slice(half, None) if right else slice(None, half + 1)
        for values in (line.y, line.low, line.high):
            count += sum(at <= value <= at + tall for value in values[part])
    return count


def _date_axis(axes: Axes) -> None:
    """Months where the time is long, days where it is short; the year where it begins and changes."""
    import matplotlib.dates
    from matplotlib.ticker import FuncFormatter

    dates: Any = matplotlib.dates  # this module carries no types
    first, last = (dates.num2date(end).date() for end in axes.get_xlim())
    days = (last - first).days
    if days > 62:
        axes.xaxis.set_major_locator(
            dates.MonthLocator(interval=max(1, math.ceil(days / 30 / (_WIDTH_EM / 4))))
        )
    else:
        axes.xaxis.set_major_locator(dates.DayLocator(interval=max(1, math.ceil(days / (_WIDTH_EM / 6)))))
    ticks = [dates.num2date(tick).date() for tick in axes.get_xticks()]
    shown = [day for day in ticks if first <= day <= last]

    def name(value: float, _: int | None = None) -> str:
        day = dates.num2date(value).date()
        text = month_name(day, short=True) if days > 62 else f"{day.day} {month_name(day, short=True)}"
        before = [other for other in shown if other < day]
        return text if before and before[-1].year == day.year else f"{text}\n{day.year}"

    axes.xaxis.set_major_formatter(FuncFormatter(name))


def _finished(svg: str, chart: Chart, prefix: str) -> str:
    """Only the `<svg>` element, named and described, with no id that another chart on the page could have."""
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    used = set(re.findall(r'(?:url\(#|href="#)([^)"]+)', svg))

    def rename(found: re.Match[str]) -> str:
        return f' id="{prefix}{found[1]}"' if found[1] in used else ""

    svg = re.sub(r' id="([^"]*)"', rename, svg)
    svg = re.sub(r'(url\(#|href="#)', rf"\g<1>{prefix}", svg)
    svg = svg.replace(f"'{_FONT}'", f"'{_FONT}', sans-serif")
    head, rest = svg.split(">", 1)
    name = f"<title>{escape(clean(chart.title))}</title><desc>{escape(clean(chart.alt))}</desc>"
    return (
        f'{head} role="img" aria-label="{escape(clean(chart.alt or chart.title))}">{name}{rest}'.rstrip()
        + "\n"
    )
