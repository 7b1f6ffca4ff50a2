"""Put what was drawn on disk: whole or not at all, and never over something else by surprise."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
from collections.abc import Iterator, Mapping
from pathlib import Path

__all__ = ["SaveError", "save"]


class SaveError(Exception):
    """What could not be saved, where, and what to do about it, in one sentence or two."""

    def __init__(self, path: Path, why: str) -> None:
        self.path = path
        self.why = why
        super().__init__(f"cannot save '{path}': {why}")


def save(path: Path, content: str | bytes | Mapping[str, str | bytes], overwrite: bool = False) -> list[Path]:
    """Save a file, or the files of a folder, and give their paths.

    Everything is first written beside its place under another name and flushed to the disk; only when
    all of it is there do the files get their names. Raises SaveError, and then leaves nothing behind.
    """
    with _explained(path):
        if not isinstance(content, (str, bytes)):
            return _save_folder(path, content, overwrite)
        if path.is_dir():
            raise SaveError(path, "it is a folder; give a file name")
        # A link is followed: what it points at is replaced, not the link.
        target = path.resolve() if path.is_symlink() else path
        return _save_all({target: _bytes(content)}, overwrite)


def _save_folder(path: Path, files: Mapping[str, str | bytes], overwrite: bool) -> list[Path]:
    made = not path.is_dir()
    if made:
        path.mkdir()
    try:
        return _save_all({path / name: _bytes(content) for name, content in files.items()}, overwrite)
    except BaseException:
        if made:
            path.rmdir()
        raise


def _bytes(content: str | bytes) -> bytes:
    return content if isinstance(content, bytes) else content.encode("utf-8")


def _save_all(files: Mapping[Path, bytes], overwrite: bool) -> list[Path]:
    if not overwrite:
        for path in files:
            if path.exists():
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
    parts: dict[Path, Path] = {}
    placed: list[Path] = []
    try:
        for path, data in files.items():
            parts[path] = path.with_name(f".byrewise-{secrets.token_hex(8)}.part")
            _write(parts[path], data)
        for path, part in parts.items():
            _place(part, path, overwrite)
            placed.append(path)
    except BaseException:
        for path in [*parts.values(), *([] if overwrite else placed)]:
            path.unlink(missing_ok=True)
        raise
    for folder in {path.parent for path in files}:
        _flush_folder(folder)
    return list(files)


def _write(path: Path, data: bytes) -> None:
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _place(part: Path, path: Path, overwrite: bool) -> None:
    if not overwrite:
        # A link cannot replace anything, even a file that appeared a moment ago.
        try:
            path.hardlink_to(part)
        except FileExistsError:
            raise
        except OSError:  # some memory cards know no links
            if path.exists():
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path)) from None
        else:
            part.unlink()
            return
    part.replace(path)


def _flush_folder(folder: Path) -> None:
    """Make the new names last through a power cut, where the system can; the content already does."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextlib.contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as fault:
        raise SaveError(path, _why(fault, path)) from fault


def _why(fault: OSError, path: Path) -> str:
    folder = path.parent
    match fault.errno:
        case errno.EEXIST:
            there = Path(fault.filename2 or fault.filename or path).name
            return f"'{there}' is already there. Give another name, or say that it may be overwritten"
        case errno.ENOENT:
            return f"there is no folder '{folder}'. Make it first, or give another place"
        case errno.EACCES | errno.EPERM | errno.EROFS:
            return f"you may not write in '{folder}'. Give another place"
        case errno.ENOSPC | errno.EDQUOT | errno.EFBIG:
            return "the disk is full. Make room, or give another place. Nothing was left behind"
        case errno.ENOTDIR:
            return f"'{folder}' is a file, not a folder. Give another place"
        case errno.ENAMETOOLONG:
            return "the name is too long. Give a shorter one"
        case _:
            return fault.strerror or str(fault)
