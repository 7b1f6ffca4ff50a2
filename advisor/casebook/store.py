"""The casebook on disk: one append-only file a case, every event synced before the call returns."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from advisor.casebook.as_json import (
    NewerFormError,
    UnreadableError,
    from_json,
    header_to_json,
    line_of,
    parse_json,
)
from advisor.casebook.disk import Calls, Disk, TailChangedError, plain_reason
from advisor.casebook.errors import (
    BadExportError,
    BadNameError,
    CannotReadError,
    CannotWriteError,
    CasebookError,
    CaseBusyError,
    ChangedOutsideError,
    ForeignFileError,
    NameTakenError,
    NewerCaseError,
    UnknownCaseError,
)
from advisor.casebook.events import SCHEMA_VERSION, Case, new_case
from advisor.casebook.locks import LockedError, hold_lock
from advisor.casebook.log import Damage, Log, log_bytes, read_log, renamed_bytes
from advisor.casebook.names import file_stem, name_key

__all__ = ["Casebook", "Entry", "OpenCase", "casebook_home", "read_export"]

_ENDING = ".jsonl"


def casebook_home() -> Path:
    """BYREWISE_HOME where it is set, else the user's data folder (XDG on Linux)."""
    chosen = os.environ.get("BYREWISE_HOME", "").strip()
    if chosen:
        return Path(chosen).expanduser().absolute()
    import platformdirs

    return Path(platformdirs.user_data_path("byrewise", appauthor=False))


@dataclass(frozen=True)
class Entry:
    """One file of the casebook: its case, or what is the matter with it."""

    path: Path
    case: Case | None
    damage: tuple[Damage, ...] = ()
    problem: CasebookError | None = None


class OpenCase:
    """A case held open for writing. `case` is what is on disk."""

    def __init__(self, disk: Disk, path: Path, data: bytes, log: Log) -> None:
        self._disk, self._path = disk, path
        self._keep_bytes, self._line_end_wanting = log.keep_bytes, log.line_end_wanting
        self._expected_bytes: int | None = len(data)
        self.case = log.case
        self.damage = log.damage

    def keep(self, case: Case) -> None:
        """Put the events that are new in `case` on disk; they are there when this returns.

        Raises CannotWriteError or ChangedOutsideError, and then counts none of them as saved.
        """
        held = len(self.case.events)
        if case.events[:held] != self.case.events or case.name != self.case.name:
            raise ValueError("only a continuation of the open case can be kept")
        new_events = case.events[held:]
        if not new_events:
            return
        data = (b"\n" if self._line_end_wanting else b"") + log_bytes(new_events)
        try:
            self._disk.add(self._path, data, self._keep_bytes, self._expected_bytes)
        except TailChangedError as fault:
            raise ChangedOutsideError(path=str(self._path)) from fault
        except OSError as fault:
            self._expected_bytes = None
            raise CannotWriteError(path=str(self._path), reason=plain_reason(fault)) from fault
        self._keep_bytes += len(data)
        self._expected_bytes, self._line_end_wanting = self._keep_bytes, False
        self.case = case


class Casebook:
    """All cases of one user. Reading takes no lock: files only ever grow, or change in one step."""

    def __init__(
        self,
        home: Path | None = None,
        calls: Calls = os,
        lock: Callable[[Path], AbstractContextManager[None]] = hold_lock,
    ) -> None:
        self.home = home or casebook_home()
        self._cases, self._locks = self.home / "cases", self.home / "locks"
        self._disk, self._lock = Disk(calls), lock

    def path_of(self, name: str) -> Path:
        """Where the case of this name stands, or would stand. Raises BadNameError on a blank name."""
        if not name_key(name):
            raise BadNameError(name=name)
        return self._cases / (file_stem(name) + _ENDING)

    def entries(self) -> list[Entry]:
        """Every case file, by name; what cannot be read comes last, with its problem."""
        entries = [self._entry(file) for file in self._names()]
        read = [entry for entry in entries if entry.case]
        read.sort(key=lambda entry: name_key(entry.case.name) if entry.case else "")
        return read + [entry for entry in entries if not entry.case]

    def read(self, name: str) -> Log:
        """The case as it stands on disk. Raises what is the matter where it cannot be read."""
        return self._load(name, self.path_of(name))[0]

    @contextmanager
    def open(self, name: str) -> Iterator[OpenCase]:
        """Hold the case for writing. Raises CaseBusyError at once where another window has it."""
        path = self.path_of(name)
        self._load(name, path)  # an unknown name is refused before anything is made
        with self._holding(name):
            log, data = self._load(name, path)
            with _writing(path):  # a window killed while starting the case may not have come to this
                self._disk.sync_folder(self._cases)
            yield OpenCase(self._disk, path, data, log)

    def create(self, name: str, created: dt.date, opening: str | None = None) -> Case:
        """Start a case. Raises NameTakenError where the name is in use."""
        case = new_case(name, created, opening)
        self.add(case)
        return case

    def add(self, case: Case) -> None:
        """Put a whole case in the book, under a name not yet in use; all of it or nothing."""
        self._publish_new(case.name, line_of(header_to_json(case)) + log_bytes(case.events))

    def copy(self, name: str, new_name: str) -> None:
        """Copy a case, with everything in its file, under another name."""
        log, data = self._load(name, self.path_of(name))
        renamed = new_case(new_name, log.case.created).name
        self._publish_new(renamed, renamed_bytes(data, log.case, renamed))

    def rename(self, name: str, new_name: str) -> None:
        """Give a case another name. A kill midway may leave it under both names, never under none."""
        path, new_path = self.path_of(name), self.path_of(new_name)
        self._load(name, path)
        with self._holding(name):
            log, data = self._load(name, path)
            renamed = new_case(new_name, log.case.created).name
            changed = renamed_bytes(data, log.case, renamed)
            if new_path == path:  # only capitals or spacing differ
                with _writing(path):
                    self._disk.publish(path, changed)
                return
            self._publish_new(renamed, changed)
            with _writing(path):
                self._disk.remove(path)

    def delete(self, name: str) -> None:
        """Delete a case for good: there is no bin. The surface asks first."""
        path = self.path_of(name)
        self._load(name, path)
        with self._holding(name):
            self._load(name, path)
            with _writing(path):
                self._disk.remove(path)

    def _publish_new(self, name: str, data: bytes) -> None:
        path = self.path_of(name)
        with _writing(self._cases):
            self._disk.make_folder(self._cases)
        with self._holding(name):
            if self._disk.exists(path):
                raise NameTakenError(name=name)
            with _writing(path):
                self._disk.publish(path, data)

    @contextmanager
    def _holding(self, name: str) -> Iterator[None]:
        path = self._locks / (file_stem(name).rpartition("-")[2] + ".lock")
        with _writing(self._locks):
            self._disk.make_folder(self._locks)
        with ExitStack() as stack:
            try:
                with _writing(path):
                    stack.enter_context(self._lock(path))
            except LockedError as fault:
                raise CaseBusyError(name=name) from fault
            yield

    def _names(self) -> list[str]:
        try:
            found = self._disk.names(self._cases)
        except OSError as fault:
            raise CannotReadError(path=str(self._cases), reason=plain_reason(fault)) from fault
        return [file for file in found if file.endswith(_ENDING) and not file.startswith(".")]

    def _entry(self, file: str) -> Entry:
        path = self._cases / file
        try:
            log, _ = self._read(path)
        except CasebookError as problem:
            return Entry(path, None, (), problem)
        return Entry(path, log.case, log.damage)

    def _load(self, name: str, path: Path) -> tuple[Log, bytes]:
        if not self._disk.exists(path):
            raise UnknownCaseError(name=name, hint=self._hint(name))
        return self._read(path)

    def _read(self, path: Path) -> tuple[Log, bytes]:
        try:
            data = self._disk.read(path)
            log = read_log(data)
        except OSError as fault:
            raise CannotReadError(path=str(path), reason=plain_reason(fault)) from fault
        except UnreadableError as fault:
            raise ForeignFileError(path=str(path), reason=str(fault)) from fault
        except NewerFormError as fault:
            raise _newer(fault, path) from fault
        if path != self.path_of(log.case.name):
            reason = f"it holds a case called '{log.case.name}' but stands under another file name"
            raise ForeignFileError(path=str(path), reason=reason)
        return log, data

    def _hint(self, name: str) -> str:
        import difflib

        names = {name_key(entry.case.name): entry.case.name for entry in self.entries() if entry.case}
        close = difflib.get_close_matches(name_key(name), names, 1)
        if close:
            return f" Did you mean '{names[close[0]]}'?"
        return " 'byrewise case list' shows those there are." if names else " There are no cases yet."


def read_export(data: bytes, path: str) -> Case:
    """The case in an exported JSON file. Raises BadExportError or NewerCaseError."""
    try:
        return from_json(parse_json(data))
    except UnreadableError as fault:
        raise BadExportError(path=path, where=fault.where, what=fault.what) from fault
    except NewerFormError as fault:
        raise _newer(fault, Path(path)) from fault


def _newer(fault: NewerFormError, path: Path) -> NewerCaseError:
    return NewerCaseError(name=fault.name, version=fault.version, known=SCHEMA_VERSION, path=str(path))


@contextmanager
def _writing(path: Path) -> Iterator[None]:
    """Tell a failed write as what it means to the user."""
    try:
        yield
    except OSError as fault:
        raise CannotWriteError(path=str(path), reason=plain_reason(fault)) from fault
