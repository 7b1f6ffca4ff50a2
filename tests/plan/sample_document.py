"""A made-up plan of a made-up farm: one of every block, with dates, ranges and forms."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from advisor.plan.document import (
    Band,
    CalendarEvent,
    CautionBox,
    Chart,
    Column,
    Document,
    FillIn,
    Line,
    Mark,
    Paragraph,
    Points,
    Section,
    Sheet,
    Table,
)

__all__ = [
    "HOSTILE_GROUPS",
    "HOSTILE_NAMES",
    "LONG_NAME",
    "empty_document",
    "hostile_document",
    "sample_document",
    "week_rows",
]

START = dt.date(2026, 11, 2)
TURNOUT = dt.date(2027, 4, 26)

LONG_NAME = (
    "The Invented Upper and Nether Marshmallow Fold Cattle and Sheep Wintering Partnership "
    "of Nowhere in Particular Ltd"
)

#: Every name has its own way of going wrong: markup of each format, formulas, other scripts, broken text.
HOSTILE_NAMES = (
    "Wood & Sons <b>Farm</b>",
    "#panic() *bold* _it_ `code` $x^2$ @ref <label>",
    "[link](http://example.invalid) ![x](y) | a | b |",
    '=HYPERLINK("http://example.invalid")',
    "</title><script>alert(1)</script>",
    "BEGIN:VEVENT; a, b\\n; END:VCALENDAR",
    "مزرعة النخيل",
    "חוות האלון",
    "見本農場",
    "Řeřicha–Ødegård ½ ≈ 5°",
    "1. not a list",
    "- not a point",
    "``` not a fence",
    "{figure_id} %s {0} $HOME",
    "lone \ud800 surrogate and \x00\x1b[31m control",
    "turned \u202eround",
)

#: The same, several to a name, for formats that take a while to draw and where the place in a line is all one.
HOSTILE_GROUPS = tuple(" ".join(HOSTILE_NAMES[at : at + 4]) for at in range(0, len(HOSTILE_NAMES), 4))


def week_rows(weeks: int = 25) -> tuple[tuple[str | float | int | dt.date | None, ...], ...]:
    """A made-up schedule: week, first day, bales, weight, depth."""
    return tuple(
        (week, START + dt.timedelta(weeks=week - 1), 3 if week < 9 else 4, 660.0 if week < 9 else 880.0,
         round(0.30 + 0.021 * week, 2))
        for week in range(1, weeks + 1)
    )  # fmt: skip


def _depth() -> Chart:
    days = tuple(START + dt.timedelta(days=7 * week) for week in range(26))
    middle = tuple(0.30 + 0.021 * week for week in range(26))
    return Chart(
        "depth",
        "How high the pack will stand",
        "A line that climbs from 0.3 m at the start to about 0.83 m at turnout. "
        "It stays below the gate at 1.1 m; the upper end of the range comes near it in April.",
        "Date",
        "Depth of the pack (m)",
        lines=(
            Line("Pack depth", days, middle, tuple(m * 0.8 for m in middle), tuple(m * 1.25 for m in middle)),
        ),
        marks=(Mark("Bottom of the gate", 1.1), Mark("Lowest headroom", 1.35)),
    )


def _moisture() -> Chart:
    days = tuple(START + dt.timedelta(days=7 * week) for week in range(26))
    top = tuple(0.55 + 0.15 * (1 - 1 / (1 + 0.2 * week)) for week in range(26))
    whole = tuple(0.40 + 0.28 * (1 - 1 / (1 + 0.2 * week)) for week in range(26))
    return Chart(
        "moisture",
        "How wet the bed will be",
        "Two lines that climb and level off: the top of the bed near 0.67, the whole pack near 0.63.",
        "Date",
        "Water as a share of the whole",
        lines=(
            Line("Top of the bed", days, top, tuple(t - 0.04 for t in top), tuple(t + 0.04 for t in top)),
            Line("Whole pack", days, whole),
        ),
        marks=(Mark("Dry enough to lie on", 0.0, 0.72),),
    )


def _supply() -> Chart:
    days = (START, dt.date(2027, 1, 11), dt.date(2027, 1, 12), dt.date(2027, 3, 30), TURNOUT)
    return Chart(
        "supply",
        "Straw left",
        "The straw on hand falls to 3 t on 11 January, rises with the purchase, and lasts to turnout.",
        "Date",
        "Straw left (t)",
        lines=(Line("Straw left", days, (12.0, 3.0, 11.0, 1.9, 0.4)),),
    )


def _matters() -> Chart:
    return Chart(
        "matters",
        "What matters most for the straw you need",
        "How wet the dung is matters most (46 %), then the weight of a bale (27 %), then the weather (18 %).",
        "Share of the uncertainty",
        "What is not known",
        bars=(
            Band("How wet the dung is", 0.46),
            Band("Weight of one of your bales", 0.27),
            Band("How cold and damp the winter is", 0.18),
            Band("Everything else", 0.09),
        ),
    )


GAS = CautionBox(
    "Gas when a pack is opened",
    "fatal",
    "A deep, airless pack can let off hydrogen sulphide when it is dug or turned. It can knock a person down "
    "in seconds, and the smell goes before the danger does.",
    (
        "Animals out, doors open at both ends, before anyone digs.",
        "Never go in after somebody who has fallen: call 112 and stay outside.",
        "Nobody works in there alone.",
    ),
    "Emergency 112; fire service",
)
WET = CautionBox(
    "Wet beds and udders",
    "serious",
    "A bed that wets your knee through brings mastitis and cold calves.",
    ("Kneel on it for 25 seconds: if the knee is wet, put on more straw today.",),
    "veterinarian",
)
RATS = CautionBox(
    "Rats like grain", "nuisance", "Grain in a bed draws rats.", ("Bury it at least 15 cm deep.",)
)

WEEKLY = Table(
    "weekly_schedule",
    "What to add each week",
    (
        Column("Week", "", "right"),
        Column("From"),
        Column("Round bales", "", "right"),
        Column("Straw", "kg", "right"),
        Column("Depth after", "m", "right"),
    ),
    week_rows(),
)
SHORT = Table(
    "shed_door_schedule",
    "Straw for each week",
    (
        Column("From"),
        Column("To"),
        Column("Round bales a week", "", "right"),
        Column("About", "kg a week", "right"),
    ),
    (
        (START, dt.date(2026, 12, 27), 3, 660.0),
        (dt.date(2026, 12, 28), TURNOUT, 4, 880.0),
    ),
)
MATERIALS = Table(
    "materials",
    "What you have and what to buy",
    (
        Column("Material"),
        Column("On hand", "t", "right"),
        Column("Needed", "t", "right"),
        Column("Likely range", "t"),
        Column("Buy by"),
        Column("Cost", "GBP", "right"),
    ),
    (
        ("Barley straw, round bales", 12.0, 20.2, "16 to 25", dt.date(2027, 1, 4), 656.0),
        ("Wood chips for the base", 6.0, 5.4, "4.5 to 6.5", None, None),
        ("Whole barley for the pigs", 0, 1.25, "0.9 to 1.6", dt.date(2027, 4, 19), 312.5),
    ),
)
NUTRIENTS = Table(
    "nutrients",
    "What the pack holds at turnout",
    (
        Column("What"),
        Column("Amount", "kg", "right"),
        Column("Per tonne", "kg", "right"),
        Column("Likely range", "kg"),
    ),
    (
        ("Nitrogen (N)", 331.0, 5.2, "270 to 410"),
        ("Phosphate (P2O5)", 198.6, 3.1, "160 to 240"),
        ("Potash (K2O)", 512.0, 8.0, "420 to 640"),
    ),
)
ASSUMED = Table(
    "assumptions",
    "What was assumed because nobody said",
    (Column("What"), Column("Taken as"), Column("Likely range"), Column("Why")),
    (
        (
            "Weight of a round bale",
            "220 kg",
            "180 to 270",
            "Usual for a bale of 1.2 m; weigh one to be sure.",
        ),
        ("Hours on the bed", "24 h a day", "20 to 24", "Fully housed unless you say otherwise."),
        ("Outdoor temperature", "4 degC", "-3 to 9", "A mild damp winter."),
    ),
)

EVENTS = (
    CalendarEvent(
        "base", dt.date(2026, 10, 30), "Lay the base", "Chips, 30 cm deep over 96 m2; about 5.4 t."
    ),
    CalendarEvent(
        "top-up-1",
        START,
        "Straw: 3 round bales",
        "About 660 kg; more if it is wet.",
        repeat_weekly_until=dt.date(2026, 12, 27),
    ),
    CalendarEvent(
        "top-up-2",
        dt.date(2026, 12, 28),
        "Straw: 4 round bales",
        "About 880 kg.",
        repeat_weekly_until=TURNOUT,
    ),
    CalendarEvent("buy-straw", dt.date(2027, 1, 4), "Buy 9 t of straw; ask two sellers, compare"),
    CalendarEvent("turnout", TURNOUT, "Turnout"),
    CalendarEvent(
        "pigs",
        dt.date(2027, 5, 3),
        "Pigs in",
        "Six growers; water, feed and shade beside the shed.",
        end=dt.date(2027, 6, 6),
    ),
)


def sample_document(farm: str = "Thistledown Croft (invented)", units: str = "metric") -> Document:
    """The plan of an invented suckler farm."""
    sheet = Sheet(
        "On the shed door",
        (
            Paragraph(
                "Every day: look, smell, kneel. Put straw first where it is wet: by the trough and gate.",
                "lead",
            ),
            SHORT,
            Points(
                (
                    "Walk through the animals. Do they lie down? Is any one alone, coughing or lame?",
                    "Kneel on the bed for 25 seconds. Dry knee: good. Wet knee: one more bale today.",
                    "Smell at the animals' height. If it stings your eyes, open up more.",
                    "Look at the drinker: a leak ruins a bed in two days.",
                ),
                ordered=True,
            ),
            GAS,
            FillIn("Numbers to call", ("Vet", "Farmer", "Neighbour who helps", "Emergency: 112 — we are at")),
        ),
    )
    sections = (
        Section(
            "plan",
            "The plan in short",
            (
                Paragraph(f"{farm} can winter six sucklers and their calves on this bed.", "lead"),
                Paragraph("You need about 20 t of straw; likely between 16 and 25 t. You have 12 t."),
                Paragraph("A wet bed costs more than straw: cold calves and sore udders.", "reason"),
                Paragraph("Common practice; Example Board, Bedding Notes (invented), table 3.", "source"),
                MATERIALS,
                _supply(),
            ),
        ),
        Section("weeks", "Week by week", (WEEKLY, _depth(), _moisture())),
        Section("cautions", "Take care", (WET, RATS)),
        Section("reasons", "Why, and how sure", (_matters(), ASSUMED)),
        Section(
            "pack", "What you will have in spring", (Paragraph("About 64 t of bedding manure."), NUTRIENTS)
        ),
        Section(
            "log",
            "Heap log",
            (
                FillIn(
                    "Fill in every other day",
                    columns=("Date", "Core degC", "Edge degC", "Turned?", "Who"),
                    rows=12,
                ),
            ),
        ),
        Section(
            "sources",
            "Sources",
            (Points(("Example Board (invented). Bedding Notes. 2020.", "Common practice among keepers.")),),
        ),
    )
    return Document(
        title="Winter bedding plan",
        subtitle="Six suckler cows with calves, 96 m2 of bed, 2 November 2026 to 26 April 2027",
        farm=farm,
        date=dt.date(2026, 9, 14),
        units="us" if units == "us" else "metric",
        sections=sections,
        sheet=sheet,
        calendar=EVENTS,
    )


def empty_document() -> Document:
    """The least document there can be."""
    return Document("Plan", "", "", dt.date(2026, 9, 14), "metric", ())


def hostile_document(name: str) -> Document:
    """The sample with `name` in every place that takes a user's words."""
    plain = sample_document(name)
    table = Table(
        "hostile", name, (Column(name, name), Column("Number", "kg", "right")),
        ((name, 12.5), (name, -3), ("", None), (f"x {name}", 1e-7)),
    )  # fmt: skip
    chart = Chart(
        "hostile_chart", name, name, name, name,
        lines=(Line(name, (1.0, 2.0, 3.0), (1.0, 3.0, 2.0)), Line(f"{name} 2", (1.0, 2.0), (2.0, 2.5))),
        marks=(Mark(name, 2.0), Mark(name, 1.0, 1.5)),
    )  # fmt: skip
    bars = Chart("hostile_bars", name, name, name, name, bars=(Band(name, 0.7), Band(name, 0.3)))
    blocks = (
        Paragraph(name), Paragraph(name, "reason"), Paragraph(name, "source"), Paragraph(name, "lead"),
        Points((name, name)), Points((name,), ordered=True), table,
        CautionBox(name, "serious", name, (name, name), name), chart, bars,
        FillIn(name, (name,)), FillIn(name, columns=(name, "b"), rows=2),
    )  # fmt: skip
    events = (CalendarEvent(name, START, name, name, repeat_weekly_until=TURNOUT),)
    return replace(
        plain, title=f"Plan for {name}", subtitle=name, sheet=Sheet(name, blocks),
        sections=(*plain.sections, Section("hostile", name, blocks)), calendar=(*plain.calendar, *events),
    )  # fmt: skip
