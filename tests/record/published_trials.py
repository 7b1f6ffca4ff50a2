"""Published trials with readings through time, as records: early readings are fed, later ones held against it.

python -m tests.record.published_trials     writes the tables into docs/season.md
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from advisor.farm import read_farm_text
from advisor.knowledge import Knowledge
from advisor.record.entries import Entry, Record, read_entry
from advisor.record.forecast import forecast

__all__ = ["TRIALS", "Row", "compared", "read_trial", "written"]

TRIALS = ("lab_packs", "bench_litter")
DOCUMENT = Path(__file__).resolve().parents[2] / "docs" / "season.md"
_WORDS = {"depth": "depth", "top_moisture": "water in the top"}


@dataclass(frozen=True)
class Row:
    """One published reading beside the forecast without any, and with those that were fed."""

    day: int
    what: str
    published: tuple[float, float]
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    fed: bool

    @property
    def verdict(self) -> str:
        """Whether the 10 to 90 % range after the early readings meets what was published."""
        if self.fed:
            return "fed"
        return (
            "met" if self.after[0] <= self.published[1] and self.published[0] <= self.after[2] else "missed"
        )


def read_trial(name: str) -> Mapping[str, Any]:
    """A trial's file."""
    path = Path(__file__).parent / "published" / f"{name}.yaml"
    data: Mapping[str, Any] = yaml.safe_load(path.read_text(encoding="utf-8"))
    return data


def compared(name: str, knowledge: Knowledge, draws: int = 400) -> list[Row]:
    """The bedding of the whole trial as it was put on; only the early readings fed."""
    trial = read_trial(name)
    farm = read_farm_text(yaml.safe_dump(trial["farm"]), knowledge)
    start: dt.date = trial["start"]
    last = max(reading["day"] for reading in trial["readings"])
    beds = [
        read_entry(
            {
                "kind": "bedding",
                "date": start + dt.timedelta(days=on),
                "material": bed["material"],
                "mass": bed["mass"],
            }
        )
        for bed in trial["bedding"]
        for on in range(0, last, bed["every_days"])
    ]
    early = [_entry(reading, start) for reading in trial["readings"] if reading.get("feed")]
    today = start + dt.timedelta(days=last)
    runs = [
        next(iter(forecast(farm, Record.of(entries), knowledge, today, draws).learned.packs.values()))
        for entries in (beds, [*beds, *early])
    ]
    rows = []
    for reading in trial["readings"]:
        before, after = (_range(getattr(run, _series(reading))[reading["day"]]) for run in runs)
        ends = (reading.get("low", reading.get("value")), reading.get("high", reading.get("value")))
        rows.append(Row(reading["day"], reading["what"], ends, before, after, bool(reading.get("feed"))))
    return rows


def _series(reading: Mapping[str, Any]) -> str:
    return {"depth": "depth_m", "top_moisture": "top_moisture"}[reading["what"]]


def _entry(reading: Mapping[str, Any], start: dt.date) -> Entry:
    low, high = reading.get("low", reading.get("value")), reading.get("high", reading.get("value"))
    value = {"value": (low + high) / 2, "low": low, "high": high}
    return read_entry({"kind": "depth", "date": start + dt.timedelta(days=reading["day"]), "depth": value})


def _range(values: np.ndarray) -> tuple[float, float, float]:
    low, middle, high = np.percentile(values[1:], [10, 50, 90])
    return float(low), float(middle), float(high)


def written(name: str, rows: list[Row]) -> str:
    """The table of one trial."""
    out = [
        "| day | what | published | forecast, nothing read | forecast, early reading fed | |",
        "|---|---|---|---|---|---|",
    ]
    for row in rows:
        cells = [_said(row.what, *row.published)]
        cells += [
            f"{_said(row.what, r[0], r[2])}, most likely {_said(row.what, r[1], r[1])}"
            for r in (row.before, row.after)
        ]
        out.append(f"| {row.day} | {_WORDS[row.what]} | {' | '.join(cells)} | {row.verdict} |")
    return "\n".join(out)


def _said(what: str, low: float, high: float) -> str:
    unit = "cm" if what == "depth" else "%"
    ends = [f"{100 * each:.0f}" for each in (low, high)]
    return f"{ends[0]} {unit}" if ends[0] == ends[1] else f"{ends[0]} to {ends[1]} {unit}"


def main() -> None:
    """Write the tables into the document, each between its marks."""
    from advisor.knowledge import knowledge

    text = DOCUMENT.read_text(encoding="utf-8")
    for name in TRIALS:
        table = written(name, compared(name, knowledge()))
        mark = rf"(<!-- {name} -->\n).*?(\n<!-- /{name} -->)"
        text = re.sub(mark, lambda match, table=table: match[1] + table + match[2], text, flags=re.DOTALL)
    DOCUMENT.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
