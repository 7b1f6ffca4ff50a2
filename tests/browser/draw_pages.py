"""Draw the invented plans as web pages into a folder, for the browser check: python draw_pages.py FOLDER."""

from __future__ import annotations

import sys
from pathlib import Path

from advisor.plan.document import Document
from advisor.plan.render_html import render_html
from tests.plan.sample_document import (
    HOSTILE_NAMES,
    LONG_NAME,
    empty_document,
    hostile_document,
    sample_document,
)


def main(folder: Path) -> None:
    pages: dict[str, Document] = {
        "plan": sample_document(),
        "plan-us": sample_document(units="us"),
        "long-name": sample_document(LONG_NAME),
        "no-space-name": sample_document("Wollgrasmoorweidehof" * 8),
        "empty": empty_document(),
        **{f"hostile-{at}": hostile_document(name) for at, name in enumerate(HOSTILE_NAMES)},
    }
    for name, document in pages.items():
        (folder / f"{name}.html").write_text(render_html(document), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
