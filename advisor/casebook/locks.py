"""One window on a case at a time: a lock of the operating system, which vanishes with its process."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["LockedError", "hold_lock"]


class LockedError(Exception):
    """Someone else holds the lock."""


@contextmanager
def hold_lock(path: Path) -> Iterator[None]:
    """Hold the lock file while the block runs. Raises LockedError at once where another window has it.

    The file stays behind, empty: a file left by a killed process locks nothing, and removing
    it would let two windows hold two files of one name.
    """
    fd = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        try:
            _lock(fd)
        except OSError as fault:
            if fault.errno in (errno.EWOULDBLOCK, errno.EAGAIN, errno.EACCES, errno.EDEADLK):
                raise LockedError from fault
            raise
        yield
    finally:
        os.close(fd)


if sys.platform == "win32":
    import msvcrt

    def _lock(fd: int) -> None:
        msvcrt.locking(fd, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(fd: int) -> None:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
