"""The typefaces of printed plans: open ones that come with the installed packages, never the machine's own.

So the same plan is the same file everywhere. DejaVu Sans (with matplotlib) holds Latin, Greek, Cyrillic,
Arabic and Hebrew; Noto Sans CJK holds Chinese, Japanese and Korean.
"""

from __future__ import annotations

import shutil
import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

__all__ = ["STAND_IN", "Face", "faces_for", "lay_out"]

STAND_IN = "□"
"""Stands in the place of a letter that no face holds."""


@dataclass(frozen=True)
class Face:
    """A family and its files; the first file decides which letters it holds."""

    family: str
    files: tuple[Path, ...]

    def letters(self) -> frozenset[str]:
        return _letters(self.files[0])


@cache
def _letters(path: Path) -> frozenset[str]:
    from matplotlib.ft2font import FT2Font

    return frozenset(map(chr, FT2Font(str(path)).get_charmap()))


def _dejavu() -> Face:
    import matplotlib as mpl

    folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
    return Face(
        "DejaVu Sans", tuple(folder / f"DejaVuSans{style}.ttf" for style in ("", "-Bold", "-Oblique"))
    )


def _noto_cjk() -> Face | None:
    spec = find_spec("noto_cjk_sans_jp_regular")
    if spec is None or spec.origin is None:
        return None
    return Face("Noto Sans CJK JP", (Path(spec.origin).with_name("NotoSansCJKjp-Regular.otf"),))


def faces_for(text: str) -> tuple[tuple[Face, ...], frozenset[str]]:
    """The faces that a text needs, and the letters of it that none of them holds."""
    faces = [_dejavu()]
    missing = frozenset(letter for letter in set(text) if _is_drawn(letter)) - faces[0].letters()
    other = _noto_cjk() if missing else None
    if other is not None and missing & other.letters():
        faces.append(other)
        missing -= other.letters()
    return tuple(faces), missing


def _is_drawn(letter: str) -> bool:
    """Joiners, variation selectors and the like steer other letters and have no shape of their own."""
    return unicodedata.category(letter) not in ("Cf", "Cc", "Zs") and not "\ufe00" <= letter <= "\ufe0f"


def lay_out(faces: tuple[Face, ...], folder: Path) -> None:
    """Put just these files in a folder: the folders they come from hold others that must not be chosen."""
    for face in faces:
        for path in face.files:
            shutil.copyfile(path, folder / path.name)
