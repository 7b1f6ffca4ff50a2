"""`byrewise case`: list, show, rename, copy, export, import and delete the saved cases."""

from __future__ import annotations

import argparse
import datetime as dt
import json
import sys
import textwrap
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from advisor.casebook.as_json import to_json
from advisor.casebook.disk import plain_reason
from advisor.casebook.errors import CannotReadError, CannotWriteError, CasebookError
from advisor.casebook.events import SCHEMA_VERSION, Case, effective_events, new_case
from advisor.casebook.log import Damage
from advisor.casebook.names import shown
from advisor.casebook.store import Casebook, Entry, read_export

__all__ = ["add_parser", "run"]

_WIDTH = 60  # readable on a phone


class NotConfirmedError(CasebookError):
    code = "not_confirmed"
    text = "Nothing was deleted. {hint}"


class FileThereError(CasebookError):
    code = "file_there"
    text = "{path} is already there. Nothing was written. Choose another file, or add --force."


def add_parser(subparsers: Any) -> None:
    """Add `case` and its subcommands. Each sets `run`, which takes the namespace."""
    parser = subparsers.add_parser("case", help="the saved cases: list, show, copy, export and so on")
    parser.set_defaults(run=run)
    kinds = parser.add_subparsers(dest="case_command", metavar="COMMAND", required=True)

    def command(name: str, help_text: str, *names: tuple[str, str]) -> argparse.ArgumentParser:
        made: argparse.ArgumentParser = kinds.add_parser(name, help=help_text, description=help_text)
        for dest, meaning in names:
            made.add_argument(dest, metavar=dest.upper().replace("_", "-"), help=meaning)
        return made

    listing = command("list", "Show every saved case.")
    listing.add_argument("--json", action="store_true", help="as JSON")
    command("show", "Show what was said in a case.", ("name", "the case"))
    command("rename", "Give a case another name.", ("name", "the case"), ("new_name", "its new name"))
    command("copy", "Copy a case under another name.", ("name", "the case"), ("new_name", "name of the copy"))
    export = command("export", "Write a case as JSON, to keep or to pass on.", ("name", "the case"))
    export.add_argument("-o", "--output", metavar="PATH", help="the file to write (else the screen)")
    export.add_argument("--force", action="store_true", help="write over a file that is already there")
    taken = command("import", "Read a case from exported JSON.", ("path", "the file (- is standard input)"))
    taken.add_argument("--as", dest="as_name", metavar="NAME", help="keep it under this name")
    delete = command("delete", "Delete a case for good. It cannot be brought back.", ("name", "the case"))
    delete.add_argument("--yes", action="store_true", help="do not ask first")


def run(namespace: argparse.Namespace) -> int:
    """Do it: 0 done, 1 refused with one message on stderr."""
    try:
        _COMMANDS[namespace.case_command](Casebook(), namespace)
    except CasebookError as refusal:
        print(f"byrewise: {refusal}", file=sys.stderr)
        return 1
    return 0


def _list(book: Casebook, namespace: argparse.Namespace) -> None:
    entries = book.entries()
    if namespace.json:
        cases = [_listed(entry) for entry in entries]
        print(json.dumps({"schema_version": SCHEMA_VERSION, "cases": cases}, indent=2, ensure_ascii=True))
        return
    if not entries:
        print("There are no saved cases yet.")
    for entry in entries:
        if entry.case:
            print(shown(entry.case.name))
            print(f"    {_summary(entry.case)}")
            _tell_damage(entry.damage)
        else:
            print(f"byrewise: note: {entry.problem}", file=sys.stderr)


def _listed(entry: Entry) -> dict[str, Any]:
    case = entry.case
    return {
        "name": case.name if case else None,
        "created": case.created.isoformat() if case else None,
        "last": case.events[-1].at.isoformat() if case and case.events else None,
        "messages": len(case.events) if case else None,
        "file": str(entry.path),
        "problem": str(entry.problem) if entry.problem else None,
        "unreadable_lines": [damage.line for damage in entry.damage],
    }


def _show(book: Casebook, namespace: argparse.Namespace) -> None:
    log = book.read(namespace.name)
    case = log.case
    print(shown(case.name))
    print(_summary(case))
    counted = {event.number for event in effective_events(case)}
    day: dt.date | None = None
    for event in case.events:
        if event.at != day:
            day = event.at
            print(f"\n{_in_words(day)}")
        taken_back = event.target is None and event.number not in counted
        said = " ".join(shown(line) for line in event.message.splitlines()) or "(nothing)"
        lead = f"{event.number:4}  "
        body = f"{said}  (taken back)" if taken_back else said
        print(textwrap.fill(body, _WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead)))
    _tell_damage(log.damage)


def _rename(book: Casebook, namespace: argparse.Namespace) -> None:
    book.rename(namespace.name, namespace.new_name)
    print(f"'{shown(namespace.name)}' is now called '{shown(namespace.new_name)}'.")


def _copy(book: Casebook, namespace: argparse.Namespace) -> None:
    book.copy(namespace.name, namespace.new_name)
    print(f"'{shown(namespace.name)}' is copied to '{shown(namespace.new_name)}'.")


def _export(book: Casebook, namespace: argparse.Namespace) -> None:
    log = book.read(namespace.name)
    if namespace.output is None:
        print(_export_text(log.case, sys.stdout.encoding or "ascii"), end="")
    else:
        path = Path(namespace.output)
        try:
            with path.open("wb" if namespace.force else "xb") as file:
                file.write(_export_text(log.case, "utf-8").encode())
        except FileExistsError as fault:
            raise FileThereError(path=str(path)) from fault
        except OSError as fault:
            raise CannotWriteError(path=str(path), reason=plain_reason(fault)) from fault
        print(f"'{shown(log.case.name)}' is written to {shown(str(path))}.")
    _tell_damage(log.damage)


def _export_text(case: Case, encoding: str) -> str:
    """Readable letters where the encoding has them all, escapes where it has not."""
    text = json.dumps(to_json(case), indent=2, ensure_ascii=False) + "\n"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return json.dumps(to_json(case), indent=2) + "\n"
    return text


def _import(book: Casebook, namespace: argparse.Namespace) -> None:
    try:
        data = sys.stdin.buffer.read() if namespace.path == "-" else Path(namespace.path).read_bytes()
    except (OSError, ValueError) as fault:  # ValueError: a zero byte in the path
        reason = plain_reason(fault) if isinstance(fault, OSError) else "that is no file name"
        raise CannotReadError(path=namespace.path, reason=reason) from fault
    case = read_export(data, "The text given" if namespace.path == "-" else namespace.path)
    if namespace.as_name is not None:
        case = replace(case, name=new_case(namespace.as_name, case.created).name)
    book.add(case)
    print(f"'{shown(case.name)}' is imported: {_summary(case)}.")


def _delete(book: Casebook, namespace: argparse.Namespace) -> None:
    case = book.read(namespace.name).case
    if not namespace.yes:
        if not sys.stdin.isatty():
            raise NotConfirmedError(hint="To delete without being asked, add --yes.")
        print(f"'{shown(case.name)}': {_summary(case)}.")
        try:
            answer = input("Delete it for good? It cannot be brought back. Type yes: ")
        except EOFError:
            answer = ""
        if answer.strip().casefold() not in ("yes", "y"):
            raise NotConfirmedError(hint="The case is still there.")
    book.delete(namespace.name)
    print(f"'{shown(case.name)}' is deleted.")


def _summary(case: Case) -> str:
    count = len(case.events)
    begun = f"begun on {_in_words(case.created)}"
    if not count:
        return f"{begun}, nothing said yet"
    return f"{begun}, {count} message{'s' if count > 1 else ''}, the last on {_in_words(case.events[-1].at)}"


def _in_words(day: dt.date) -> str:
    return f"{day.day} {day:%B %Y}"


def _tell_damage(damage: tuple[Damage, ...]) -> None:
    for each in damage:
        print(f"byrewise: note: {each}", file=sys.stderr)


_COMMANDS: dict[str, Callable[[Casebook, argparse.Namespace], None]] = {
    "list": _list,
    "show": _show,
    "rename": _rename,
    "copy": _copy,
    "export": _export,
    "import": _import,
    "delete": _delete,
}
