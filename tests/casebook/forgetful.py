"""A disk in memory that forgets at a power cut whatever was not synced.

Writes to a file and changes to a folder wait in a queue until that file or that folder is synced. At the cut
some first part of each queue may have reached the disk, and the write it stops at may be torn.
"""

from __future__ import annotations

import os
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["ForgetfulCalls", "PowerCutError"]


class PowerCutError(Exception):
    """The power went; nothing runs any more."""


@dataclass
class File:
    now: bytearray = field(default_factory=bytearray)
    durable: bytearray = field(default_factory=bytearray)
    waiting: list[tuple[str, int, bytes]] = field(default_factory=list)


@dataclass
class Folder:
    now: dict[str, File | Folder] = field(default_factory=dict)
    durable: dict[str, File | Folder] = field(default_factory=dict)
    waiting: list[Callable[[dict[str, File | Folder]], object]] = field(default_factory=list)


@dataclass
class Handle:
    node: File | Folder
    position: int = 0


class ForgetfulCalls:
    """Satisfies `advisor.casebook.disk.Calls`. The power goes at call number `cut_at`."""

    def __init__(self, root: Folder | None = None, cut_at: int | None = None, syncs: bool = True) -> None:
        self.root = root or Folder()
        self.cut_at, self.syncs, self.calls = cut_at, syncs, 0
        self._handles: dict[int, Handle] = {}

    def after_cut(self, luck: random.Random | None) -> ForgetfulCalls:
        """The disk as found after the cut: only what was synced, or by luck a part of what waited."""
        return ForgetfulCalls(_survivor(self.root, luck))

    def _tick(self) -> None:
        if self.cut_at is not None and self.calls >= self.cut_at:
            raise PowerCutError
        self.calls += 1

    def _folder(self, path: Path) -> Folder:
        node: File | Folder = self.root
        for part in path.parts[1:]:
            if not isinstance(node, Folder):
                raise NotADirectoryError(20, "not a folder", str(path))
            if part not in node.now:
                raise FileNotFoundError(2, "not there", str(path))
            node = node.now[part]
        if not isinstance(node, Folder):
            raise NotADirectoryError(20, "not a folder", str(path))
        return node

    def _change(self, folder: Folder, change: Callable[[dict[str, File | Folder]], object]) -> None:
        change(folder.now)
        folder.waiting.append(change)

    def open(self, path: Path, flags: int, mode: int = 0o777, /) -> int:
        self._tick()
        if path == Path("/"):
            node: File | Folder = self.root
        else:
            folder = self._folder(path.parent)
            if path.name not in folder.now:
                if not flags & os.O_CREAT:
                    raise FileNotFoundError(2, "not there", str(path))
                made = File()
                self._change(folder, lambda names: names.__setitem__(path.name, made))
            node = folder.now[path.name]
        if flags & os.O_TRUNC and isinstance(node, File):
            self._write(node, "cut", 0, b"")
        handle = max(self._handles, default=2) + 1
        self._handles[handle] = Handle(node)
        return handle

    def _file(self, fd: int) -> tuple[Handle, File]:
        handle = self._handles[fd]
        assert isinstance(handle.node, File)
        return handle, handle.node

    def _write(self, file: File, how: str, at: int, data: bytes) -> None:
        _apply(file.now, how, at, data)
        file.waiting.append((how, at, data))

    def read(self, fd: int, length: int, /) -> bytes:
        self._tick()
        handle, file = self._file(fd)
        data = bytes(file.now[handle.position : handle.position + length])
        handle.position += len(data)
        return data

    def write(self, fd: int, data: bytes, /) -> int:
        self._tick()
        handle, file = self._file(fd)
        some = data[:50]  # a write may be short
        self._write(file, "write", handle.position, some)
        handle.position += len(some)
        return len(some)

    def lseek(self, fd: int, position: int, how: int, /) -> int:
        self._tick()
        handle, file = self._file(fd)
        handle.position = position + (len(file.now) if how == os.SEEK_END else 0)
        return handle.position

    def ftruncate(self, fd: int, length: int, /) -> None:
        self._tick()
        self._write(self._file(fd)[1], "cut", length, b"")

    def fsync(self, fd: int, /) -> None:
        self._tick()
        node = self._handles[fd].node
        if not self.syncs:
            return
        if isinstance(node, File):
            node.durable = bytearray(node.now)
        else:
            node.durable = dict(node.now)
        node.waiting.clear()

    def close(self, fd: int, /) -> None:
        self._tick()
        del self._handles[fd]

    def replace(self, old: Path, new: Path, /) -> None:
        self._tick()
        assert old.parent == new.parent
        folder = self._folder(old.parent)
        assert old.name in folder.now
        self._change(folder, lambda names: names.__setitem__(new.name, names.pop(old.name)))

    def unlink(self, path: Path, /) -> None:
        self._tick()
        folder = self._folder(path.parent)
        if path.name not in folder.now:
            raise FileNotFoundError(2, "not there", str(path))
        self._change(folder, lambda names: names.pop(path.name))

    def mkdir(self, path: Path, mode: int = 0o777, /) -> None:
        self._tick()
        folder = self._folder(path.parent)
        if path.name in folder.now:
            raise FileExistsError(17, "already there", str(path))
        made = Folder()
        self._change(folder, lambda names: names.__setitem__(path.name, made))

    def listdir(self, path: Path, /) -> list[str]:
        self._tick()
        return list(self._folder(path).now)


def _apply(data: bytearray, how: str, at: int, piece: bytes) -> None:
    if how == "cut":
        del data[at:]
    else:
        data[at : at + len(piece)] = piece


def _survivor(folder: Folder, luck: random.Random | None) -> Folder:
    names = dict(folder.durable)
    for change in folder.waiting[: luck.randint(0, len(folder.waiting)) if luck else 0]:
        change(names)
    kept: dict[str, File | Folder] = {}
    for name, node in names.items():
        kept[name] = _survivor(node, luck) if isinstance(node, Folder) else _survived(node, luck)
    return Folder(dict(kept), dict(kept))


def _survived(file: File, luck: random.Random | None) -> File:
    data = bytearray(file.durable)
    reached = luck.randint(0, len(file.waiting)) if luck else 0
    for how, at, piece in file.waiting[:reached]:
        _apply(data, how, at, piece)
    if luck and reached < len(file.waiting):
        how, at, piece = file.waiting[reached]
        if how == "write" and at <= len(data):
            _apply(data, how, at, piece[: luck.randint(0, len(piece))])
    return File(bytearray(data), bytearray(data))
