"""Write the generated schemas again: `python -m tests.contracts.write`."""

from __future__ import annotations

import json
from pathlib import Path

from advisor.contracts import farm_schema, season_entries_schema

FOLDER = Path(__file__).parent.parent.parent / "advisor" / "contracts"

if __name__ == "__main__":
    for name, made in (("farm", farm_schema()), ("season_entries", season_entries_schema())):
        text = json.dumps(made, indent=2, ensure_ascii=False) + "\n"
        (FOLDER / f"{name}.schema.json").write_text(text, encoding="utf-8")
