"""The casebook: what was said, kept for good, one file a case."""

from advisor.casebook.errors import CasebookError, NothingToRedoError, NothingToUndoError
from advisor.casebook.events import (
    REDO,
    SAID,
    UNDO,
    Case,
    Event,
    append,
    effective_events,
    new_case,
    redo,
    redo_target,
    undo,
    undo_target,
)
from advisor.casebook.store import Casebook, Entry, OpenCase, casebook_home

__all__ = [
    "REDO",
    "SAID",
    "UNDO",
    "Case",
    "Casebook",
    "CasebookError",
    "Entry",
    "Event",
    "NothingToRedoError",
    "NothingToUndoError",
    "OpenCase",
    "append",
    "casebook_home",
    "effective_events",
    "new_case",
    "redo",
    "redo_target",
    "undo",
    "undo_target",
]
