"""Writing so that what was acknowledged is there after a kill or a power cut.

The order of the system calls is the whole point, so they come in by argument and the tests
give a disk that forgets whatever was not synced.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from pathlib import Path
from typing import Protocol

__all__ = ["Calls", "Disk", "TailChangedError", "plain_reason"]

_BINARY = getattr(os, "O_BINARY", 0)
_READ_CHUNK_BYTES = 1 << 16


class Calls(Protocol):
    """The part of the `os` module that is used here."""

    def open(self, path: Path, flags: int, mode: int = ..., /) -> int: ...
    def read(self, fd: int, length: int, /) -> bytes: ...
    def write(self, fd: int, data: bytes, /) -> int: ...
    def lseek(self, fd: int, position: int, how: int, /) -> int: ...
    def ftruncate(self, fd: int, length: int, /) -> None: ...
    def fsync(self, fd: int, /) -> None: ...
    def close(self, fd: int, /) -> None: ...
    def replace(self, old: Path, new: Path, /) -> None: ...
    def unlink(self, path: Path, /) -> None: ...
    def mkdir(self, path: Path, mode: int = ..., /) -> None: ...
    def listdir(self, path: Path, /) -> list[str]: ...


class TailChangedError(Exception):
    """The file is not as long as it was left: something else has written to it."""


class Disk:
    """Reads, and the three durable writes the casebook needs: add to, publish and remove a file."""

    def __init__(self, calls: Calls = os) -> None:
        self._calls = calls

    def read(self, path: Path) -> bytes:
        fd = self._calls.open(path, os.O_RDONLY | _BINARY)
        try:
            chunks = []
            while chunk := self._calls.read(fd, _READ_CHUNK_BYTES):
                chunks.append(chunk)
            return b"".join(chunks)
        finally:
            self._calls.close(fd)

    def names(self, folder: Path) -> list[str]:
        """What stands in a folder, sorted; nothing where there is no folder yet."""
        try:
            return sorted(self._calls.listdir(folder))
        except FileNotFoundError:
            return []

    def exists(self, path: Path) -> bool:
        try:
            fd = self._calls.open(path, os.O_RDONLY | _BINARY)
        except FileNotFoundError:
            return False
        except OSError:
            return True  # there, though not for us to read
        self._calls.close(fd)
        return True

    def add(self, path: Path, data: bytes, keep_bytes: int, expected_bytes: int | None) -> None:
        """Put `data` after the first `keep_bytes` of the file and sync it.

        `expected_bytes` is how long the file was left; None where our own last write failed midway.
        Raises TailChangedError, with nothing written, where it is not so.
        """
        fd = self._calls.open(path, os.O_RDWR | _BINARY)
        try:
            length = self._calls.lseek(fd, 0, os.SEEK_END)
            if length < keep_bytes or (expected_bytes is not None and length != expected_bytes):
                raise TailChangedError
            if length > keep_bytes:
                self._calls.ftruncate(fd, keep_bytes)
                self._calls.lseek(fd, keep_bytes, os.SEEK_SET)
            try:
                self._write_all(fd, data)
                self._calls.fsync(fd)
            except OSError:
                with contextlib.suppress(OSError):
                    self._calls.ftruncate(fd, keep_bytes)
                raise
        finally:
            self._calls.close(fd)

    def publish(self, path: Path, data: bytes) -> None:
        """Let the whole file appear under its name at once, or not at all. The caller holds its lock."""
        part = self.part_of(path)
        fd = self._calls.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | _BINARY, 0o600)
        try:
            try:
                self._write_all(fd, data)
                self._calls.fsync(fd)
            finally:
                self._calls.close(fd)
            self._calls.replace(part, path)
        except OSError:
            with contextlib.suppress(OSError):
                self._calls.unlink(part)
            raise
        self.sync_folder(path.parent)

    def remove(self, path: Path) -> None:
        """Remove the file, and what a killed `publish` may have left of it."""
        with contextlib.suppress(FileNotFoundError):
            self._calls.unlink(self.part_of(path))
        self._calls.unlink(path)
        self.sync_folder(path.parent)

    def make_folder(self, folder: Path) -> None:
        """Make the folder and those above it that are missing, each entry synced."""
        missing = []
        while not self.exists(folder) and folder != folder.parent:
            missing.append(folder)
            folder = folder.parent
        for each in reversed(missing):
            with contextlib.suppress(FileExistsError):
                self._calls.mkdir(each, 0o700)
            self.sync_folder(each.parent)

    def sync_folder(self, folder: Path) -> None:
        """Sync the entries of a folder. (Windows keeps them in order itself and cannot open a folder.)"""
        if sys.platform == "win32":
            return
        fd = self._calls.open(folder, os.O_RDONLY)
        try:
            self._calls.fsync(fd)
        except OSError as fault:
            if fault.errno not in (errno.EINVAL, errno.ENOTSUP):  # some network drives cannot sync folders
                raise
        finally:
            self._calls.close(fd)

    @staticmethod
    def part_of(path: Path) -> Path:
        """Where a file is written before it gets its name."""
        return path.with_name(f".{path.name}.part")

    def _write_all(self, fd: int, data: bytes) -> None:
        while data:
            data = data[self._calls.write(fd, data) :]


_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is full",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "you have no permission",
    errno.EPERM: "you have no permission",
    errno.ENOENT: "it is not there",
    errno.EISDIR: "it is a folder",
    errno.ENOTDIR: "part of its path is not a folder",
    errno.EIO: "the disk reports a fault",
}


def plain_reason(fault: OSError) -> str:
    """Why the system refused, in plain words."""
    return _REASONS.get(fault.errno or 0) or (fault.strerror or str(fault)).lower()
