"""Season records in files: YAML to read, CSV to read and write."""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.farm import Farm, FarmError, find_id
from advisor.knowledge import Fault, Knowledge
from advisor.knowledge.base import validate
from advisor.knowledge.yaml_text import Located, Place, parse_yaml, read_yaml
from advisor.record.entries import Entry, Record, RecordFile, dump, read_entry
from advisor.record.hearing import hear
from advisor.record.ready import RecordError
from advisor.record.time_words import cut_time, season_words

if TYPE_CHECKING:
    from advisor.language import Lexicon

__all__ = [
    "COLUMNS",
    "CsvTable",
    "export_csv",
    "guess_columns",
    "import_csv",
    "read_csv",
    "read_record",
    "read_record_text",
]

#: what a column of a foreign file may be
COLUMNS = ("date", "amount", "unit", "material", "pen", "note")


def read_record(path: Path, knowledge: Knowledge) -> Record:
    """A record file. Raises FarmError with every fault at once."""
    return _checked(read_yaml(path), knowledge)


def read_record_text(text: str, knowledge: Knowledge, name: str = "record") -> Record:
    """As read_record, from text."""
    return _checked(parse_yaml(text, name), knowledge)


def _checked(text: Located, knowledge: Knowledge) -> Record:
    if text.faults:
        raise FarmError(text.faults)
    if not isinstance(text.data, dict):
        fault = Fault(Place(text.file, 1), "is empty or not a season record", "start with `entries:`")
        raise FarmError([fault])
    raw, faults = dict(text.data), []
    entries = raw.get("entries")
    if isinstance(entries, list):
        raw["entries"] = [dict(entry) if isinstance(entry, dict) else entry for entry in entries]
        for number, entry in enumerate(raw["entries"]):
            if not isinstance(entry, dict):
                continue
            for key, topic in (("material", knowledge.materials), ("group", knowledge.animals)):
                word = entry.get(key)
                if not isinstance(word, str) or not word:
                    continue
                found, near = find_id(word, topic)
                if found:
                    entry[key] = found
                elif key == "material":
                    mend = f"did you mean '{near}'?" if near else ""
                    faults.append(
                        Fault(text.place(("entries", number, key)), f"unknown material '{word}'", mend)
                    )
    record, found_faults = validate(RecordFile, raw, text, ())
    faults += found_faults
    if faults or record is None:
        raise FarmError(sorted(set(faults)))
    return Record.of(record.entries)


# ---- CSV


@dataclass(frozen=True)
class CsvTable:
    """A table as read: its headings and its rows."""

    headings: tuple[str, ...]
    rows: tuple[Mapping[str, str], ...]

    @property
    def own(self) -> bool:
        """Whether it was written by this program."""
        return {"id", "date", "kind"} <= set(self.headings)


def export_csv(record: Record) -> str:
    """The record as CSV: one entry a row, one column a field, ranges as `_low` and `_high`."""
    rows = [_flat(entry) for entry in record]
    first = ["id", "date", "kind", "pen"]
    names = [*first, *sorted({name for row in rows for name in row} - set(first))]
    out = io.StringIO()
    writer = csv.DictWriter(out, names, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows({name: _safe(value) for name, value in row.items()} for row in rows)
    return out.getvalue()


def _flat(entry: Entry) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name, value in dump(entry).items():
        if isinstance(value, dict):
            out[name] = value["value"]
            if value["low"] != value["high"]:
                out[f"{name}_low"], out[f"{name}_high"] = value["low"], value["high"]
        else:
            out[name] = value
    return out


def _safe(value: Any) -> Any:
    """A text that a spreadsheet would take for a formula is written as text."""
    return f"'{value}" if isinstance(value, str) and value[:1] in ("=", "+", "-", "@") else value


def read_csv(data: bytes) -> CsvTable:
    """A table with any of the usual separators. Raises RecordError."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        raise RecordError("The file is empty.")
    separator = max(";\t,", key=lines[0].count)
    rows = list(csv.reader(io.StringIO("\n".join(lines)), delimiter=separator))
    headings = tuple(cell.strip() for cell in rows[0])
    if len(set(headings)) != len(headings):
        raise RecordError("Two columns have the same heading. Rename one.")
    table = tuple({h: cell.strip() for h, cell in zip(headings, row, strict=False)} for row in rows[1:])
    return CsvTable(headings, table)


def import_csv(
    table: CsvTable,
    columns: Mapping[str, str],
    constants: Mapping[str, str],
    record: Record,
    farm: Farm,
    knowledge: Knowledge,
    lexicon: Lexicon,
    today: dt.date,
    us: bool = False,
) -> list[Entry]:
    """The entries of a table that the record does not hold yet. Raises RecordError with the row at fault.

    `columns` says which heading is the date, amount, unit, material, pen or note; `constants` gives what has
    no column. The id of an entry follows from its row, so the same file read twice adds nothing.
    """
    held = {entry.id for entry in record}
    seen: dict[str, int] = {}
    out: list[Entry] = []
    for number, row in enumerate(table.rows, 2):
        if not any(row.values()):
            continue
        try:
            entry = (
                _own_row(row)
                if table.own
                else _foreign_row(row, columns, constants, farm, knowledge, lexicon, today, us)
            )
        except (ValueError, RecordError) as fault:
            reason = str(fault).splitlines()[0]
            raise RecordError(f"Row {number} cannot be read: {reason}") from fault
        if not entry.id:
            text = repr(sorted(dump(entry.model_copy(update={"said": ""})).items()))
            seen[text] = seen.get(text, 0) + 1
            digest = hashlib.blake2b(f"{text}#{seen[text]}".encode(), digest_size=6).hexdigest()
            entry = entry.model_copy(update={"id": f"csv-{digest}"})
        if entry.id not in held:
            out.append(entry)
    return out


def _own_row(row: Mapping[str, str]) -> Entry:
    raw: dict[str, Any] = {}
    for name, cell in row.items():
        if cell == "" or name.endswith(("_low", "_high")):
            continue
        value: Any = cell[1:] if cell[:1] == "'" and cell[1:2] in ("=", "+", "-", "@") else cell
        if row.get(f"{name}_low"):
            value = {
                "value": float(cell),
                "low": float(row[f"{name}_low"]),
                "high": float(row[f"{name}_high"]),
            }
        elif name not in ("id", "date", "kind", "pen", "said", "note", "material", "pack", "group"):
            value = _plain(cell)
        raw[name] = value
    return read_entry(raw)


def _plain(cell: str) -> Any:
    if cell in ("True", "False"):
        return cell == "True"
    try:
        return int(cell)
    except ValueError:
        pass
    try:
        return float(cell)
    except ValueError:
        return cell


def _foreign_row(
    row: Mapping[str, str],
    columns: Mapping[str, str],
    constants: Mapping[str, str],
    farm: Farm,
    knowledge: Knowledge,
    lexicon: Lexicon,
    today: dt.date,
    us: bool,
) -> Entry:
    told = {
        name: row.get(columns[name], "") if name in columns else constants.get(name, "") for name in COLUMNS
    }
    date = _date(told["date"], today, us)
    text = f"put on {told['amount']} {told['unit']} {told['material']}".strip()
    heard = hear(text, farm, knowledge, lexicon, today, us)
    if len(heard.entries) != 1:
        raise RecordError(f"I cannot read '{' '.join(text.split()[2:])}' as an amount of bedding.")
    entry = heard.entries[0]
    if date > today:
        raise RecordError(f"{date.isoformat()} is still to come.")
    return entry.model_copy(update={"date": date, "pen": told["pen"], "note": told["note"], "said": ""})


def _date(cell: str, today: dt.date, us: bool) -> dt.date:
    try:
        return dt.date.fromisoformat(cell[:10])
    except ValueError:
        _, when = cut_time(cell.strip(), today, us)
    if when is None:
        raise RecordError(f"'{cell}' is not a date I can read; write it as 2027-01-05.")
    return when.first


def guess_columns(
    headings: Sequence[str], asked: Iterable[str] = COLUMNS
) -> tuple[dict[str, str], dict[str, str]]:
    """Headings that are plainly what they say, and what they settle for every row: under 'Bales' stand bales."""
    words = season_words()["columns"]
    small = {heading.casefold().strip(): heading for heading in headings}
    found = {
        name: heading
        for name in asked
        for word, heading in small.items()
        if word == name or word in words.get(name, ())
    }
    counted = [word for word in small if word in words["counted"]]
    if "amount" not in found and len(counted) == 1:
        return {**found, "amount": small[counted[0]]}, {"unit": counted[0]}
    return found, {}
