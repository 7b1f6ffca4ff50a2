"""From exceptions to exit codes: the one place where a command's failure meets the user.

0 done · 1 refused, with one clear message · 3 a fault of the program, with the place of its log ·
130 after Ctrl-C. (2, wrong usage, comes from argparse.) Where the reader of a pipe has gone,
as in `byrewise ... | head`, the command ends quietly with 0.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import errno
import io
import os
import platform
import sys
import tempfile
import traceback
from collections.abc import Callable
from pathlib import Path

from advisor import __version__

__all__ = ["DONE", "INTERNAL", "INTERRUPTED", "REFUSED", "guarded", "known_refusals", "state_folder"]

DONE, REFUSED, INTERNAL, INTERRUPTED = 0, 1, 3, 130


def known_refusals() -> tuple[type[Exception], ...]:
    """The exceptions whose text is written for the user. Imported only once something has gone wrong."""
    from advisor.casebook.errors import CasebookError
    from advisor.farm import FarmError
    from advisor.knowledge import KnowledgeError
    from advisor.plan.save import SaveError
    from advisor.record.ready import RecordError
    from advisor.units import UnitError

    return CasebookError, FarmError, KnowledgeError, RecordError, SaveError, UnitError


def guarded(
    command: Callable[[], int],
    refusals: Callable[[], tuple[type[Exception], ...]] = known_refusals,
) -> int:
    """Run a command and turn whatever it raises into an exit code. SystemExit passes through."""
    try:
        _forgive_letters()
        code = command()
        if sys.stdout is not None:
            sys.stdout.flush()  # now, while a failure can still be told
    except KeyboardInterrupt:
        _say("")
        return INTERRUPTED
    except BrokenPipeError:
        _silence_output()
        return DONE
    except Exception as fault:
        if isinstance(fault, OSError) and fault.errno in (errno.ENOSPC, errno.EDQUOT):
            _silence_output()
            _say("byrewise: the output cannot be written: the disk is full.")
            return REFUSED
        if isinstance(fault, refusals()):
            _say(f"byrewise: {fault}")
            return REFUSED
        return _internal(fault)
    return code


def state_folder() -> Path:
    """Where logs go: `state` in BYREWISE_HOME where it is set, else the XDG state folder."""
    chosen = os.environ.get("BYREWISE_HOME", "").strip()
    if chosen:
        return Path(chosen).expanduser().absolute() / "state"
    import platformdirs

    return Path(platformdirs.user_state_path("byrewise", appauthor=False))


def _forgive_letters() -> None:
    """Print a mark instead of failing where the screen has no such letter."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")


def _silence_output() -> None:
    """Let Python's own flush at exit go nowhere instead of complaining."""
    if sys.stdout is None:
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, sys.stdout.fileno())
    except (OSError, ValueError):  # not a real file, as under a test
        pass
    finally:
        os.close(nowhere)


def _say(message: str) -> None:
    if sys.stderr is None:
        return
    with contextlib.suppress(OSError, ValueError):  # where it is closed no one can hear us
        print(message, file=sys.stderr, flush=True)


def _internal(fault: Exception) -> int:
    report = "".join(
        [
            f"byrewise {__version__}, Python {platform.python_version()}, {platform.platform()}\n",
            f"command: {sys.argv!r}\n\n",
            *traceback.format_exception(fault),
        ]
    )
    place = _write_report(report)
    if place is None:
        _say(report)
        _say("byrewise: something went wrong inside the program, and its log could not be written.")
    else:
        _say(f"byrewise: something went wrong inside the program. What happened is written in {place}")
    return INTERNAL


def _write_report(report: str) -> Path | None:
    """Write the log to the state folder, else as a file of its own among the temporary ones."""
    for place in (_in_state_folder, _among_temporary_files):
        try:
            path = place()
            with path.open("a", encoding="utf-8", errors="backslashreplace") as file:
                file.write(report)
        except (OSError, RuntimeError):  # RuntimeError: no home folder can be found
            continue
        return path
    return None


def _in_state_folder() -> Path:
    folder = state_folder() / "errors"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder / f"{dt.datetime.now():%Y-%m-%d-%H%M%S}-{os.getpid()}.log"


def _among_temporary_files() -> Path:
    handle, name = tempfile.mkstemp(prefix="byrewise-", suffix=".log")
    os.close(handle)
    return Path(name)
