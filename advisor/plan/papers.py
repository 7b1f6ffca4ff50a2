"""The whole plan as files in one folder: to pin up, to hand on, to put in a calendar."""

from __future__ import annotations

from pathlib import Path

from advisor.plan.document import Document
from advisor.plan.formats import FORMATS
from advisor.plan.save import SaveError, save

__all__ = ["make_papers", "papers"]

_NAMES = {"pdf": "plan.pdf", "html": "plan.html", "text": "plan.txt", "ics": "calendar.ics"}


def papers(document: Document, record: str = "") -> dict[str, str | bytes]:
    """File names and contents: PDF, web page, text, calendar, tables, and the record where it is given."""
    files: dict[str, str | bytes] = {}
    for kind, name in _NAMES.items():
        if kind == "ics" and not document.calendar:
            continue
        drawn = FORMATS[kind].draw(document)
        if isinstance(drawn, (str, bytes)):
            files[name] = drawn
    tables = FORMATS["csv"].draw(document)
    if isinstance(tables, dict):
        files |= tables
    if record:
        files["plan.json"] = record
    return files


def make_papers(document: Document, place: Path, name: str, record: str = "") -> tuple[Path, list[Path]]:
    """Write the papers into a new folder in `place`; an earlier one is never touched.

    Returns the folder and the files. Raises SaveError where nothing can be written there.
    """
    files = papers(document, record)
    for number in range(1, 1000):
        folder = place / (name if number == 1 else f"{name} ({number})")
        if not folder.exists():
            return folder, save(folder, files)
    raise SaveError(place / name, "there are too many already; move some away")
