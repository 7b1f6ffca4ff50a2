"""`byrewise season CASE ...`: the record of a winter, its forecast, and what to do this week."""

from __future__ import annotations

import argparse
import datetime as dt
import json
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from advisor.plan.wording import Units

__all__ = ["add_parser", "run"]

_ACTIONS = ("show", "add", "list", "undo", "correct", "import", "export", "lookback")
_FORMATS = ("text", "markdown", "html", "pdf", "svg", "json", "ics", "csv")
_EXAMPLES = """examples:
  byrewise season "home farm"                           forecast, and what to do this week
  byrewise season "home farm" add "4 bales yesterday"
  byrewise season "home farm" add --bedding "barley straw" --amount "4 bales" --date 2027-01-05
  byrewise season "home farm" import beds.csv --map date=Datum,amount=Ballen --material straw --unit bales
  byrewise season "home farm" --format svg -o charts     planned, recorded and forecast, a picture each
  byrewise season --farm farm.yaml --record winter.yaml --format html -o season.html
"""


def add_parser(subparsers: Any) -> None:
    """Add `season`."""
    from advisor.cli.plan import a_day, add_clock

    parser = subparsers.add_parser(
        "season",
        help="the record of a winter and its forecast",
        description="Note what was done and seen; see how far the winter is from plan and what to do this week.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("case", nargs="?", metavar="CASE", help="the saved case (not with --farm)")
    parser.add_argument("action", nargs="?", metavar="ACTION", help=f"{', '.join(_ACTIONS)} (show)")
    parser.add_argument("what", nargs="*", metavar="WORDS", help="what to add, the mark to undo, or the file")
    parser.add_argument("--farm", metavar="FARM.yaml", help="a farm from a file instead of a case")
    parser.add_argument("--record", metavar="ENTRIES.yaml", help="with --farm: its season record")
    parser.add_argument("--bedding", metavar="MATERIAL", help="with add: the bedding")
    parser.add_argument("--amount", metavar="AMOUNT", help="with add: how much, such as '4 bales'")
    parser.add_argument("--entry", metavar="JSON", help="with add: one entry as in the season contract")
    parser.add_argument("--date", type=a_day, metavar="YYYY-MM-DD", help="with add: the day (today)")
    parser.add_argument("--pen", default="", help="with add and import: the pen")
    parser.add_argument(
        "--map", default="", metavar="A=B,..", help="with import: date=Heading,amount=Heading,.."
    )
    parser.add_argument("--material", default="", help="with import: the material where no column names it")
    parser.add_argument("--unit", default="", help="with import: the unit where no column names it")
    parser.add_argument("--follow", choices=("advice", "plan"), default="advice", help="the days to come")
    parser.add_argument(
        "--next", metavar="NEW.yaml", help="with lookback: write a farm to start next year from"
    )
    parser.add_argument("--format", choices=_FORMATS, default="text", help="how it is written (text)")
    parser.add_argument("-o", "--output", metavar="PATH", help="file to write (else the screen)")
    parser.add_argument("--force", action="store_true", help="write over a file that is already there")
    parser.add_argument("--units", choices=("metric", "us"), help="units to show")
    add_clock(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Do it. Refusals are raised; `guarded` gives them their exit code."""
    from advisor.record.ready import RecordError

    words = [word for word in (options.case, options.action, *options.what) if word is not None]
    options.case = words.pop(0) if words and not options.farm else None
    options.action = words.pop(0) if words else "show"
    options.what = words
    options.today = options.today or dt.date.today()
    if options.action not in _ACTIONS:
        raise RecordError(f"'{options.action}' is none of: {', '.join(_ACTIONS)}.")
    if not options.farm and not options.case:
        raise RecordError("Say which case, or give a farm with --farm FARM.yaml.")
    if not 0 <= options.draws <= 100_000:
        raise RecordError("--draws must lie between 0 and 100000.")
    if options.farm and options.action in ("add", "undo", "correct", "import"):
        raise RecordError(f"'{options.action}' needs a case: a file given with --record is only read.")
    actions: dict[str, Callable[[argparse.Namespace], None]] = {
        "show": _show, "lookback": _show, "list": _list, "export": _list, "add": _add, "correct": _add,
        "undo": _undo, "import": _import,
    }  # fmt: skip
    actions[options.action](options)
    return 0


def _held(options: argparse.Namespace) -> tuple[Any, Any, Any]:
    """(farm, record, knowledge) from the files or the case."""
    from advisor.farm import read_farm
    from advisor.knowledge import knowledge
    from advisor.record.entries import Record

    held = knowledge()
    if options.farm:
        from advisor.record.files import read_record

        farm = read_farm(Path(options.farm), held)
        record = read_record(Path(options.record), held) if options.record else Record()
        return farm, record, held
    from advisor.casebook import Casebook
    from advisor.record.fold import record_of

    case = Casebook().read(options.case).case
    return _farm_of(case, held), record_of(case), held


def _farm_of(case: Any, held: Any) -> Any:
    from advisor.dialogue.building import farm_of
    from advisor.dialogue.draft import draft_of
    from advisor.record.ready import RecordError

    farm = farm_of(draft_of(case), held)
    if farm is None:
        raise RecordError(
            f"The case '{case.name}' holds no animals yet. Tell it about them first: byrewise chat --case '{case.name}'"
        )
    return farm


def _show(options: argparse.Namespace) -> None:
    from advisor.record.forecast import forecast
    from advisor.record.ready import RecordError

    if options.format in ("pdf", "csv", "svg") and not options.output:
        raise RecordError(f"Say where to write the {options.format} with -o PATH.")
    farm, record, held = _held(options)
    found = forecast(farm, record, held, options.today, options.draws, options.seed, follow=options.follow)
    looking_back = options.action == "lookback"
    if looking_back and options.next:
        from advisor.record.lookback import next_farm_yaml

        _save(options.next, next_farm_yaml(found), options.force)
    if options.format == "json":
        from advisor.record.as_json import season_json

        _write(options, season_json(found, lookback=looking_back))
        return
    from advisor.plan.formats import draw
    from advisor.plan.words import units_of
    from advisor.record.charts import text_chart
    from advisor.record.lookback import lookback_document
    from advisor.record.words import season_document

    units = options.units or units_of(found.learned)
    if options.format == "svg":
        from advisor.record.charts import chart_files

        _write(options, chart_files(found, units))
        return
    name = options.case or farm.name
    trouble = None if looking_back else _trouble(options, found.learned, units)

    def make(*arguments: Any, **named: Any) -> Any:
        document = (lookback_document if looking_back else season_document)(*arguments, **named)
        return replace(document, sections=(trouble, *document.sections)) if trouble else document

    if options.format == "text":
        charts = [text_chart(found, pen.id, units) for pen in found.learned.farm.pens]
        text = draw(make(found, units, name, pictures=False), "text")
        _write(options, str(text) + "".join(f"\n\n{chart}" for chart in charts if not looking_back))
        return
    _write(options, draw(make(found, units, name), options.format))


def _trouble(options: argparse.Namespace, plan: Any, units: Units) -> Any:
    """The part of the sheet that says what trouble is on hand in a case; None where there is none."""
    if not options.case:
        return None
    from advisor.casebook import Casebook
    from advisor.dialogue.draft import draft_of
    from advisor.troubles import restored
    from advisor.troubles.farm_facts import farm_facts
    from advisor.troubles.found import found_section

    told = draft_of(Casebook().read(options.case).case).trouble
    if not told:
        return None
    return found_section(restored(plan.knowledge, {"told": dict(told), "facts": farm_facts(plan)}), units)


def _list(options: argparse.Namespace) -> None:
    from advisor.record.entries import dump
    from advisor.record.files import export_csv
    from advisor.record.saying import entry_words

    farm, record, held = _held(options)
    if options.action == "export" or options.format == "csv":
        options.output = options.what[0] if options.what else options.output
        _write(options, export_csv(record))
    elif options.format == "json":
        data = {"schema_version": 1, "entries": [dump(entry) for entry in record]}
        _write(options, json.dumps(data, indent=2, ensure_ascii=False) + "\n")
    else:
        units: Units = options.units or farm.units or "metric"
        lines = [
            f"{entry.id}  {entry.date.isoformat()}  {entry_words(entry, units, held)}"
            + (f"  ({entry.pen})" if entry.pen else "")
            for entry in record
        ]
        _write(options, "\n".join(lines or ["Nothing is noted yet."]) + "\n")


def _add(options: argparse.Namespace) -> None:
    from advisor.casebook import Casebook, append
    from advisor.knowledge import knowledge
    from advisor.record.fold import acts_for, correction, record_of
    from advisor.record.ready import RecordError
    from advisor.record.talk import heard_words, noted, read_notes

    held = knowledge()
    correcting = options.action == "correct"
    with Casebook().open(options.case) as book:
        farm, record = _farm_of(book.case, held), record_of(book.case)
        words = list(options.what)
        mark = words.pop(0) if correcting and words else ""
        if correcting and record.find(mark) is None:
            raise RecordError(f"Nothing is noted under the mark '{mark}'. `list` shows the marks.")
        message = " ".join(words) or heard_words(options.bedding, options.amount, options.entry)
        entries = read_notes(
            message,
            farm,
            record,
            held,
            options.today,
            entry=options.entry,
            date=options.date,
            pen=options.pen,
            us=(options.units or farm.units) == "us",
            note=True,
        )
        if correcting and len(entries) != 1:
            raise RecordError("A correction puts one note in the place of another; that was more than one.")
        acts = [correction(mark, entries[0])] if correcting else acts_for(entries, record)
        case = append(book.case, options.today, message, acts, kind="season", asks=book.case.asked)
        book.keep(case)
        print(noted(entries, options.units or farm.units or "metric", held))


def _undo(options: argparse.Namespace) -> None:
    from advisor.casebook import Casebook, append, effective_events, undo
    from advisor.knowledge import knowledge
    from advisor.record.fold import drop, record_of
    from advisor.record.ready import RecordError
    from advisor.record.saying import entry_words

    with Casebook().open(options.case) as book:
        record = record_of(book.case)
        if options.what:
            entry = record.find(options.what[0])
            if entry is None:
                raise RecordError(
                    f"Nothing is noted under the mark '{options.what[0]}'. `list` shows the marks."
                )
            words = f"undo {entry.id}"
            book.keep(
                append(book.case, options.today, words, [drop(entry.id)], kind="season", asks=book.case.asked)
            )
            print(f"Taken back: {entry.date.isoformat()}, {entry_words(entry, 'metric', knowledge())}.")
            return
        event = next((e for e in reversed(effective_events(book.case)) if e.kind == "season"), None)
        if event is None:
            raise RecordError("There is nothing in the season record to take back.")
        book.keep(undo(book.case, options.today, "undo", target=event.number, asks=book.case.asked))
        print(f"Taken back: {event.message}")


def _import(options: argparse.Namespace) -> None:
    from advisor.casebook import Casebook, append
    from advisor.farm.facts import complete
    from advisor.knowledge import knowledge
    from advisor.language import lexicon
    from advisor.record.files import COLUMNS, guess_columns, import_csv, read_csv
    from advisor.record.fold import acts_for, record_of
    from advisor.record.ready import RecordError, ready_farm

    if len(options.what) != 1:
        raise RecordError("Say which file: season CASE import FILE.csv")
    try:
        table = read_csv(Path(options.what[0]).read_bytes())
    except (OSError, ValueError) as fault:
        raise RecordError(f"'{options.what[0]}' cannot be read: {fault}") from fault
    columns, settled = guess_columns(table.headings)
    for pair in filter(None, options.map.split(",")):
        name, _, heading = (part.strip() for part in pair.partition("="))
        if name not in COLUMNS or heading not in table.headings:
            raise RecordError(
                f"'{pair}' does not fit. Columns: {', '.join(COLUMNS)}. Headings: {', '.join(table.headings)}."
            )
        columns[name] = heading
    constants = {
        "material": options.material,
        "unit": options.unit or settled.get("unit", ""),
        "pen": options.pen,
    }
    if not table.own:
        _ask_columns(table.headings, columns, constants)
    held = knowledge()
    with Casebook().open(options.case) as book:
        farm, record = complete(_farm_of(book.case, held), held), record_of(book.case)
        us = (options.units or farm.units) == "us"
        entries = import_csv(table, columns, constants, record, farm, held, lexicon(held), options.today, us)
        ready_farm(farm, type(record).of([*record, *entries]), held, options.today)
        if entries:
            acts = acts_for(entries, record)
            name = Path(options.what[0]).name
            book.keep(
                append(book.case, options.today, f"import {name}", acts, kind="season", asks=book.case.asked)
            )
    rows = sum(any(row.values()) for row in table.rows)
    print(f"{len(entries)} noted, {rows - len(entries)} were there already.")


def _ask_columns(headings: tuple[str, ...], columns: dict[str, str], constants: dict[str, str]) -> None:
    """Ask on a terminal which column is which; elsewhere say what is missing."""
    from advisor.record.ready import RecordError

    for name in ("date", "amount", "material", "unit"):
        if name in columns or constants.get(name):
            continue
        if sys.stdin.isatty():
            print(f"Columns: {', '.join(headings)}", file=sys.stderr)
            answer = input(f"Which column holds the {name}? (empty: none) ").strip()
            if answer in headings:
                columns[name] = answer
    for name in ("date", "amount"):
        if name not in columns:
            raise RecordError(
                f"Which column holds the {name}? Say so with --map {name}=HEADING. Headings: {', '.join(headings)}."
            )


def _write(options: argparse.Namespace, content: Any) -> None:
    if options.output:
        _save(options.output, content, options.force)
    elif isinstance(content, bytes):
        sys.stdout.buffer.write(content)
    else:
        sys.stdout.write(content if content.endswith("\n") else content + "\n")


def _save(path: str, content: Any, force: bool) -> None:
    from advisor.plan.save import save

    for each in save(Path(path), content, overwrite=force):
        print(each, file=sys.stderr)
