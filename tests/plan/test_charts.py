from __future__ import annotations

import datetime as dt
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from advisor.plan.chart_data import axis_unit, chart_table, mark_text, rounded
from advisor.plan.charts import chart_svg
from advisor.plan.document import Band, Chart, Line, Mark
from advisor.plan.writing import clean
from tests.plan.sample_document import HOSTILE_GROUPS, LONG_NAME, sample_document
from tests.plan.tree import blocks

_SVG = "{http://www.w3.org/2000/svg}"

pytestmark = pytest.mark.slow  # matplotlib draws each


def charts() -> list[Chart]:
    return [block for block in blocks(sample_document()) if isinstance(block, Chart)]


def texts(svg: str) -> str:
    return " ".join("".join(node.itertext()) for node in ET.fromstring(svg).iter(f"{_SVG}text"))


def contrast_with_white(colour: str) -> float:
    """WCAG 2.2, definition of contrast ratio."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    r, g, b = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 1.05 / (0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05)


@pytest.mark.parametrize("chart", charts(), ids=lambda chart: chart.id)
def test_a_chart_says_what_it_shows_and_in_what_unit(chart: Chart) -> None:
    svg = chart_svg(chart, "x-")
    root = ET.fromstring(svg)
    assert root.findtext(f"{_SVG}title") == chart.title
    assert root.findtext(f"{_SVG}desc") == chart.alt
    shown = texts(svg)
    if chart.lines:
        assert chart.y_label in shown
    for mark in chart.marks:
        assert mark.label in shown
    for bar in chart.bars:
        assert f"{100 * bar.share:.0f} %" in shown


def test_every_line_differs_in_dash_as_well_as_colour_and_stands_out_from_white() -> None:
    lines = tuple(Line(f"Line {at}", (0.0, 1.0), (at, at + 1.0)) for at in range(4))
    svg = chart_svg(Chart("c", "t", "a", "x", "y (m)", lines=lines))
    styles = set(re.findall(r'style="(fill: none;[^"]*stroke-width: 2(?:;[^"]*)?)"', svg))
    colours = {found for style in styles for found in re.findall(r"stroke: (#\w{6})", style)}
    dashes = {"".join(re.findall(r"stroke-dasharray: ([^;]+)", style)) for style in styles}
    assert len(colours) == len(dashes) == 4
    assert all(contrast_with_white(colour) >= 3 for colour in colours)


def test_two_charts_on_a_page_share_no_id_and_refer_only_to_their_own() -> None:
    one, two = (chart_svg(chart, f"{at}-") for at, chart in enumerate(charts()[:2]))
    ids = [set(re.findall(r' id="([^"]+)"', svg)) for svg in (one, two)]
    assert not ids[0] & ids[1]
    for svg, own in zip((one, two), ids, strict=True):
        assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= own


@pytest.mark.parametrize("chart", charts(), ids=lambda chart: chart.id)
def test_same_chart_same_bytes_without_date_or_program(chart: Chart) -> None:
    svg = chart_svg(chart)
    assert svg == chart_svg(chart)
    assert "metadata" not in svg
    assert "Matplotlib" not in svg


@pytest.mark.parametrize("name", [*HOSTILE_GROUPS, LONG_NAME, "x" * 300])
def test_hostile_names_stay_words(name: str) -> None:
    lines = (Line(name, (1.0, 2.0), (1.0, 3.0)), Line(name, (1.0, 2.0), (2.0, 2.0)))
    svg = chart_svg(
        Chart("c", name, name, name, name, lines=lines, marks=(Mark(name, 2.0), Mark(name, 1, 2)))
    )
    assert ET.fromstring(svg).findtext(f"{_SVG}title") == clean(name)
    assert clean(name)[:8] in texts(svg)
    bars = chart_svg(Chart("c", name, name, name, name, bars=(Band(name, 0.5),)))
    assert clean(name)[:8] in texts(bars)


@pytest.mark.parametrize(
    "chart",
    [
        Chart("c", "nothing", "a", "x", "y"),
        Chart("c", "one point", "a", "x", "y", lines=(Line("l", (dt.date(2026, 11, 2),), (1.0,)),)),
        Chart("c", "flat", "a", "x", "y", lines=(Line("l", (1.0, 2.0), (0.0, 0.0)),)),
        Chart(
            "c",
            "holes",
            "a",
            "x",
            "y",
            lines=(Line("l", (1.0, 2.0, 3.0), (1.0, float("nan"), float("inf"))),),
        ),
        Chart("c", "below nought", "a", "x", "y", lines=(Line("l", (1.0, 2.0), (-5.0, 4.0)),)),
        Chart("c", "no share", "a", "x", "y", bars=(Band("b", 0.0),)),
        Chart("c", "marks only", "a", "x", "y", marks=(Mark("m", 1.0),)),
    ],
    ids=lambda chart: chart.title,
)
def test_odd_charts_are_drawn(chart: Chart) -> None:
    ET.fromstring(chart_svg(chart))


@pytest.mark.parametrize("days", [1, 5, 20, 61, 62, 100, 365, 1200])
def test_dates_are_named_in_words_without_crowding(days: int) -> None:
    start = dt.date(2026, 11, 2)
    line = Line("l", (start, start + dt.timedelta(days=days)), (1.0, 2.0))
    shown = texts(chart_svg(Chart("c", "t", "a", "", "y (m)", lines=(line,))))
    months = re.findall(r"Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec", shown)
    assert 1 <= len(months) <= 9
    assert "202" in shown


def test_the_table_of_a_chart_keeps_its_ends_and_its_range() -> None:
    depth = charts()[1]
    table = chart_table(depth)
    assert [column.title for column in table.columns] == ["Date", "Pack depth", "Pack depth, likely range"]
    assert {column.unit for column in table.columns[1:]} == {"m"}
    assert (table.rows[0][0], table.rows[-1][0]) == (depth.lines[0].x[0], depth.lines[0].x[-1])
    assert table.rows[0][1:] == (0.3, "0.24 to 0.375")
    assert len(table.rows) == 9
    gap = replace(depth, lines=(*depth.lines, Line("Other", depth.lines[0].x[:1], (7.0,))))
    assert chart_table(gap).rows[-1][-1] is None
    assert chart_table(charts()[3]).rows[0] == ("How wet the dung is", 46.0)


def test_small_words() -> None:
    assert mark_text(Mark("Goal", 25.04, 30), "to 1") == "Goal: 25 to 30 to 1"
    assert (axis_unit("Depth (m)"), axis_unit("Share")) == ("m", "")
    assert (rounded(0.123456), rounded(98765.4), rounded(0)) == (0.123, 98800.0, 0)
