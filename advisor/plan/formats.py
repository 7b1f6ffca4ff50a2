"""The formats a plan can be drawn in. Each drawer is imported only when it is asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import cast

from advisor.plan.document import Document

__all__ = ["FORMATS", "Drawn", "Format", "draw"]

Drawn = str | bytes | dict[str, str]
"""Text, bytes, or the files of a folder by name."""


@dataclass(frozen=True)
class Format:
    """How a format is saved and drawn. A format without suffix is a folder of files."""

    suffix: str
    binary: bool
    module: str
    function: str

    @property
    def is_folder(self) -> bool:
        return not self.suffix

    def draw(self, document: Document) -> Drawn:
        drawer = cast(Callable[[Document], Drawn], getattr(import_module(self.module), self.function))
        return drawer(document)


FORMATS: dict[str, Format] = {
    "text": Format(".txt", False, "advisor.plan.render_text", "render_text"),
    "markdown": Format(".md", False, "advisor.plan.render_markdown", "render_markdown"),
    "html": Format(".html", False, "advisor.plan.render_html", "render_html"),
    "pdf": Format(".pdf", True, "advisor.plan.render_pdf", "render_pdf"),
    "ics": Format(".ics", True, "advisor.plan.render_calendar", "render_calendar"),
    "csv": Format("", False, "advisor.plan.render_csv", "render_csv"),
}


def draw(document: Document, name: str) -> Drawn:
    """The document in the format of that name (a key of FORMATS)."""
    return FORMATS[name].draw(document)
