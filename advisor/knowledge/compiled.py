"""The compiled copy of the knowledge base: one file in the cache folder, so that starting is quick.

Its key is a digest over every YAML file and over the code that reads them, so that it can never stand for
something else. A copy that is missing, cut short or changed counts as none; where none can be written,
everything works without.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

__all__ = ["cache_folder", "content_key", "load", "store"]

_MARK = b"byrewise compiled knowledge"


def cache_folder() -> Path:
    """BYREWISE_CACHE where it is set, else `cache` in BYREWISE_HOME, else the XDG cache folder."""
    own = os.environ.get("BYREWISE_CACHE", "").strip()
    if own:
        return Path(own).expanduser().absolute()
    chosen = os.environ.get("BYREWISE_HOME", "").strip()
    if chosen:
        return Path(chosen).expanduser().absolute() / "cache"
    import platformdirs

    return Path(platformdirs.user_cache_path("byrewise", appauthor=False))


def content_key(folder: Path) -> str:
    """A digest over every YAML file in the folder and over the code that turns them into knowledge."""
    package = Path(__file__).resolve().parent
    digest = hashlib.sha256()
    code = [*sorted(package.glob("*.py")), package.parent / "units.py", package.parent / "units.txt"]
    for path, name in [*((path, path.name) for path in code), *_yaml_files(folder)]:
        data = path.read_bytes()
        digest.update(f"{name}\0{len(data)}\0".encode())
        digest.update(data)
    return digest.hexdigest()


def _yaml_files(folder: Path) -> list[tuple[Path, str]]:
    found = []
    for here, folders, names in os.walk(folder):
        folders.sort()
        for name in sorted(names):
            if name.endswith(".yaml"):
                path = Path(here, name)
                found.append((path, str(path.relative_to(folder))))
    return found


def _place(folder: Path) -> Path:
    """One file for each knowledge folder, so that old copies do not pile up."""
    name = hashlib.sha256(os.fsencode(folder.resolve())).hexdigest()[:16]
    return cache_folder() / f"knowledge-{name}.compiled"


def load(folder: Path, key: str) -> dict[str, bytes] | None:
    """The parts of the copy with this key, each still JSON text; None where there is no sound one."""
    try:
        data = _place(folder).read_bytes()
        head, _, rest = data.partition(b"\n")
        if head != _head(key, rest):
            return None
        index, _, body = rest.partition(b"\n")
        return {name: body[start : start + length] for name, (start, length) in json.loads(index).items()}
    except (OSError, ValueError, RuntimeError, TypeError):  # RuntimeError: no home folder can be found
        return None


def store(folder: Path, key: str, content: Mapping[str, Any]) -> dict[str, bytes]:
    """Write a copy, whole or not at all, and give its parts. Where writing fails it only costs time."""
    parts = {name: json.dumps(held, separators=(",", ":")).encode() for name, held in content.items()}
    index, start = {}, 0
    for name, text in parts.items():
        index[name] = (start, len(text))
        start += len(text)
    rest = json.dumps(index).encode() + b"\n" + b"".join(parts.values())
    temporary = None
    try:
        place = _place(folder)
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=place.name, suffix=".new", dir=place.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(_head(key, rest) + b"\n" + rest)
        Path(temporary).replace(place)
    except (OSError, RuntimeError):
        if temporary is not None:
            with contextlib.suppress(OSError):
                Path(temporary).unlink()
    return parts


def _head(key: str, rest: bytes) -> bytes:
    return b" ".join((_MARK, key.encode(), hashlib.sha256(rest).hexdigest().encode()))
