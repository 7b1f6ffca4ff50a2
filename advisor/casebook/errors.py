"""What the casebook refuses, each refusal with its parts so that a surface may word it anew."""

from __future__ import annotations

from typing import ClassVar

from advisor.casebook.names import shown

__all__ = [
    "BadExportError",
    "BadNameError",
    "CannotReadError",
    "CannotWriteError",
    "CaseBusyError",
    "CasebookError",
    "ChangedOutsideError",
    "ForeignFileError",
    "NameTakenError",
    "NewerCaseError",
    "NothingToRedoError",
    "NothingToUndoError",
    "UnknownCaseError",
]


class CasebookError(Exception):
    """A refusal. `code` names it, `parts` holds what it speaks of, `str()` is one plain message."""

    code: ClassVar[str] = "casebook"
    text: ClassVar[str] = "The casebook cannot do that."

    def __init__(self, **parts: str | int) -> None:
        self.parts = parts
        super().__init__(self.text.format_map({key: shown(str(part)) for key, part in parts.items()}))


class BadNameError(CasebookError):
    code = "bad_name"
    text = "A case needs a name that can be seen. Try one like 'lower byre'."


class UnknownCaseError(CasebookError):
    code = "unknown_case"
    text = "There is no case called '{name}'.{hint}"


class NameTakenError(CasebookError):
    code = "name_taken"
    text = "There is already a case called '{name}'. Nothing was changed. Choose another name."


class CaseBusyError(CasebookError):
    code = "case_busy"
    text = "'{name}' is open in another window. Close it there first. Nothing was changed."


class NewerCaseError(CasebookError):
    code = "newer_case"
    text = (
        "'{name}' was saved by a newer byrewise (form {version}; this one knows form {known}). "
        "Nothing was changed. Update byrewise to use it. File: {path}"
    )


class ForeignFileError(CasebookError):
    code = "foreign_file"
    text = "This file is not a case that byrewise can read: {path} ({reason}). It was left as it is."


class BadExportError(CasebookError):
    code = "bad_export"
    text = "{path} is not a whole case export: {where}: {what}. Nothing was imported."


class CannotReadError(CasebookError):
    code = "cannot_read"
    text = "{path} cannot be read: {reason}."


class CannotWriteError(CasebookError):
    code = "cannot_write"
    text = "{path} cannot be written: {reason}. What was saved before is still there."


class ChangedOutsideError(CasebookError):
    code = "changed_outside"
    text = (
        "Something else has changed {path} while this window had it open. Nothing was written. "
        "Close this window and open the case again."
    )


class NothingToUndoError(CasebookError):
    code = "nothing_to_undo"
    text = "There is nothing to take back."


class NothingToRedoError(CasebookError):
    code = "nothing_to_redo"
    text = "There is nothing to bring back."
