"""The worked examples of docs/knowledge.md: each passes the checker, and each slip is answered as the page says."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from advisor.knowledge import knowledge_folder
from advisor.knowledge.base import Memory
from advisor.knowledge.check import Checked, check

PAGE = Path(__file__).parents[2] / "docs" / "knowledge.md"
BLOCK = re.compile(r"^```(\S+) ?([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
BLOCKS = [
    (kind, words.split(), text) for kind, words, text in BLOCK.findall(PAGE.read_text(encoding="utf-8"))
]
EXAMPLES = {w[0].removeprefix("file="): text for kind, w, text in BLOCKS if kind == "yaml" and len(w) == 1}
SLIPS = {w[1].removeprefix("file="): text for kind, w, text in BLOCKS if kind == "yaml" and len(w) == 2}
ANSWERS = [text.splitlines() for kind, w, text in BLOCKS if kind == "text" and w == ["says"]]


class Tried:
    """A copy of the knowledge base in which examples are tried."""

    def __init__(self, folder: Path, memory: Memory) -> None:
        self.folder, self.memory = folder, memory
        shutil.copytree(knowledge_folder(), folder)
        self.before = set(map(str, self.check().faults))

    def check(self) -> Checked:
        return check(self.folder, self.memory)

    def add(self, files: dict[str, str]) -> Checked:
        for file, text in files.items():
            path = self.folder / file
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        try:
            return self.check()
        finally:
            for file in files:
                (self.folder / file).unlink()


@pytest.fixture(scope="module")
def tried(tmp_path_factory: pytest.TempPathFactory, memory: Memory) -> Tried:
    return Tried(tmp_path_factory.mktemp("examples") / "knowledge", memory)


@pytest.mark.slow
def test_every_example_passes_the_checker(tried: Tried) -> None:
    checked = tried.add(EXAMPLES)
    assert sorted(set(map(str, checked.faults)) - tried.before) == []
    held = checked.knowledge
    assert {"vine_prunings"} <= set(held.materials)
    assert {"yak"} <= set(held.animals)
    assert {"snow_on_roof"} <= set(held.questions) & set(held.facts)
    assert {"snow_off_first"} <= set(held.rules)
    assert {"snow_slide"} <= set(held.cautions)
    assert {"lighthouse_isle"} <= set(held.regions)
    assert {"roof_slide"} <= set(held.glossary)
    assert {"melting_snow"} <= set(held.causes)
    for file in EXAMPLES:
        assert any(place.file == file for place in held.places.values()), f"{file} is read by no topic"


@pytest.mark.slow
def test_the_checker_answers_slips_as_the_page_says(tried: Tried) -> None:
    assert len(SLIPS) == len(ANSWERS) >= 2
    checked = tried.add(SLIPS)
    said = sorted(set(map(str, checked.faults)) - tried.before)
    assert said == sorted(line for lines in ANSWERS for line in lines)
