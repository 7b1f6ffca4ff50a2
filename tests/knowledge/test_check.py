"""The checker: every kind of fault is found, with its file, its line and how to mend it."""

# ruff: noqa: E501  the slips read best one to a line

from __future__ import annotations

import textwrap
from pathlib import Path

import pytest

from advisor.knowledge import knowledge_folder
from advisor.knowledge.base import Memory
from advisor.knowledge.check import check
from advisor.knowledge.schema import IDS_FILE

EVIDENCE = "[{value: 50, unit: '%', seen: judgement}]"
FIGURE = f"{{value: 0.5, low: 0.4, high: 0.6, unit: fraction, basis: of it, evidence: {EVIDENCE}}}"
C_TO_N = "{value: 80, low: 60, high: 90, unit: fraction, basis: C to N, evidence: [{value: 80, unit: fraction, seen: memory}]}"
SOUND = {
    "facts.yaml": """
        space_ratio: {label: room as a share of the need, kind: number, unit: fraction, per: farm, derived: true}
        species: {label: species on the bed, kind: list, per: farm, derived: true, choices: [cattle, sheep]}
        turned_by: {label: who turns the pack, kind: text, per: farm, choices: [pigs, fork]}
        days: {label: days on the bed, kind: number, unit: day, per: farm}
        """,
    "sources/books.yaml": """
        a_book: {by: A. Writer, title: A book}
        """,
    "materials/straws.yaml": f"""
        straw:
          name: straw
          words: [stubble straw]
          kind: bedding
          family: straw
          generic: true
          moisture: {FIGURE}
          ash: {FIGURE}
          carbon: {FIGURE}
          nitrogen:
            value: 0.01
            low: 0.008
            high: 0.02
            unit: fraction
            basis: of dry matter
            evidence: [{{source: a_book, at: page, value: 1, unit: '%', seen: primary}}]
        oat_straw:
          name: oat straw
          kind: bedding
          family: straw
          narrower_of: straw
          moisture: {FIGURE}
          ash: {FIGURE}
          carbon: {FIGURE}
          nitrogen: {FIGURE}
        """,
    "figures/air.yaml": f"""
        dampest_air: {{label: dampest air, si: fraction, figure: {FIGURE}}}
        """,
    "cautions/dust.yaml": """
        dust:
          title: Dust
          at_risk: [people]
          severity: serious
          danger: Dust harms lungs above {dampest_air}.
          do: [Open the doors.]
          when: "'cattle' in species"
          seen: judgement
        """,
    "rules/space.yaml": """
        too_full:
          when: space_ratio < 1
          topic: space
          advise: Take some out.
          because: They need room.
          rank: 2
          cautions: [dust]
          opposes: [room_to_spare]
          seen: judgement
          case: {fires: {space_ratio: 0.8}, not_fires: {space_ratio: 1}}
        room_to_spare:
          when: space_ratio > 1.2
          topic: space
          advise: Take more in.
          because: There is room.
          rank: 3
          opposes: [too_full]
          seen: judgement
          case: {fires: {space_ratio: 1.5}, not_fires: {space_ratio: 1.2}}
        """,
    "questions/first.yaml": """
        turned_by:
          text: Who turns the pack?
          why: It decides the work.
          neutral: [who turns the pack]
          kind: choice
          fills: [turned_by]
          choices: {pigs: [pigs], fork: [fork]}
          usual: fork
          least: 1
        days:
          text: How many days?
          why: Each day counts.
          neutral: [days]
          kind: quantity
          fills: [days]
          unit: week
        """,
    "regions/here.yaml": """
        here: {name: Here, emergency: "112", authority: the council}
        there: {name: There, inherits: here, emergency: "112", authority: the council}
        """,
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small sound knowledge base."""
    for file, text in SOUND.items():
        path = tmp_path / file
        path.parent.mkdir(exist_ok=True)
        path.write_text(textwrap.dedent(text).lstrip("\n"))
    return tmp_path


def faults(folder: Path) -> list[str]:
    return [str(fault) for fault in check(folder).faults]


@pytest.mark.slow
def test_a_sound_base_has_none(folder: Path) -> None:
    assert faults(folder) == []


# file, text, text in its place (or None: added at the end), the fault
SLIPS = [
    # keys
    ("materials/straws.yaml", "  family: straw\n  gen", "  famly: straw\n  gen", [
        "materials/straws.yaml:1: 'straw.family' is missing (add it)",
        "materials/straws.yaml:5: unknown key 'straw.famly' (did you mean 'family'?)"]),
    ("materials/straws.yaml", "  kind: bedding\n  family: straw\n  gen", "  kind: bedding\n  kind: bedding\n  family: straw\n  gen", [
        "materials/straws.yaml:5: 'kind' is written twice (first on line 4) (keep one of the two)"]),
    ("materials/straws.yaml", "kind: bedding\n  family: straw\n  gen", "kind: beding\n  family: straw\n  gen", [
        "materials/straws.yaml:4: 'straw.kind' cannot be 'beding' (did you mean 'bedding'?)"]),
    ("regions/here.yaml", None, "here: {name: Over here, emergency: '112', authority: the council}\n", [
        "regions/here.yaml:3: 'here' is written twice (first on line 1) (keep one of the two)"]),
    ("glossary/x.yaml", None, "- a list\n", ["glossary/x.yaml:1: must hold entries, each `id: {...}`"]),
    ("glossary/x.yaml", None, "Big-Word: {name: big word, means: A word.}\n", [
        "glossary/x.yaml:1: 'Big-Word' is no id (use lower-case words joined by _)"]),
    ("glossary/x.yaml", None, "a: [unclosed\n", None),
    # sources and links
    ("sources/books.yaml", None, "b_book: {by: B. Writer, title: B book}\n", [
        "sources/books.yaml:2: nothing cites the source 'b_book' (cite it, or take it out)"]),
    ("materials/straws.yaml", "source: a_book,", "source: a_bok,", [
        "materials/straws.yaml:16: no source is called 'a_bok' (did you mean 'a_book'?)",
        "sources/books.yaml:1: nothing cites the source 'a_book' (cite it, or take it out)"]),
    ("materials/straws.yaml", "source: a_book, ", "", [
        "materials/straws.yaml:16: 'straw.nitrogen.evidence.0': evidence seen as 'primary' needs a source",
        "sources/books.yaml:1: nothing cites the source 'a_book' (cite it, or take it out)"]),
    ("rules/space.yaml", "seen: judgement\n  case: {fires: {space_ratio: 0.8", "seen: primary\n  case: {fires: {space_ratio: 0.8", [
        "rules/space.yaml:9: was seen as 'primary' but names no source (add the source, or say 'memory')"]),
    ("rules/space.yaml", "cautions: [dust]", "cautions: [rust]", [
        "rules/space.yaml:7: no caution is called 'rust' (did you mean 'dust'?)"]),
    ("materials/straws.yaml", "narrower_of: straw", "narrower_of: straws", [
        "materials/straws.yaml:21: no material is called 'straws' (did you mean 'straw'?)"]),
    ("materials/straws.yaml", "generic: true", "generic: false", [
        "materials/straws.yaml:21: 'straw' is not marked as a general word (give it `generic: true`)"]),
    ("regions/here.yaml", "inherits: here", "inherits: nowhere", [
        "regions/here.yaml:2: no region is called 'nowhere' (did you mean 'here'?)"]),
    ("regions/here.yaml", "inherits: here", "inherits: there", [
        "regions/here.yaml:2: goes round in a circle: there > there"]),
    # numbers and units
    ("figures/air.yaml", "unit: fraction", "unit: kg", [
        "figures/air.yaml:1: 'dampest_air.figure': evidence is in '%', the figure in 'kg'"]),
    ("figures/air.yaml", "si: fraction", "si: m2", [
        "figures/air.yaml:1: 'fraction' cannot be given in 'm2': they measure different things"]),
    ("figures/air.yaml", "unit: fraction", "unit: fractoin", [
        "figures/air.yaml:1: 'dampest_air.figure': evidence: unknown unit 'fractoin'"]),
    ("figures/air.yaml", "low: 0.4", "low: 0.7", [
        "figures/air.yaml:1: 'dampest_air.figure': must rise from low to value to high, got 0.7, 0.5, 0.6"]),
    ("figures/air.yaml", "low: 0.4", "low: -0.4", [
        "figures/air.yaml:1: -0.4 fraction is less than nothing (only temperatures go below zero)"]),
    ("figures/air.yaml", "value: 50", "value: -50", [
        "figures/air.yaml:1: -50 % is less than nothing"]),
    ("figures/air.yaml", "value: 50", "value: 90", [
        "figures/air.yaml:1: the working value 0.5 lies outside its evidence, 0.9 to 0.9 fraction "
        "(mend the number, or say in 'why' how it was chosen)"]),
    ("figures/air.yaml", "seen: judgement", "at: page, seen: judgement", [
        "figures/air.yaml:1: says where ('at') but not in which source (add `source:`, or move it to `note:`)"]),
    ("materials/straws.yaml", "  narrower_of: straw\n", f"  narrower_of: straw\n  published_c_to_n: {C_TO_N}\n", [
        "materials/straws.yaml:22: the published C:N, 60 to 90, contradicts carbon over nitrogen, 1 (one of the three is wrong)"]),
    # prose
    ("cautions/dust.yaml", "Open the doors.", "Open 2 doors.", [
        "cautions/dust.yaml:6: '2' stands in prose as a bare number (make it a figure and write {its_id} here)"]),
    ("cautions/dust.yaml", "{dampest_air}", "{damp_air}", [
        "cautions/dust.yaml:5: '{damp_air}' leads to no figure (did you mean 'dampest_air'?)"]),
    ("cautions/dust.yaml", "  seen: judgement", f"  seen: judgement\n  figures: {{unsaid: {FIGURE}}}", [
        "cautions/dust.yaml:9: nothing in the text points at the figure 'unsaid' "
        "(write {unsaid} where it belongs, or take it out)"]),
    # conditions
    ("rules/space.yaml", "space_ratio < 1\n", "space_ration < 1\n", [
        "rules/space.yaml:2: in the condition `space_ration < 1`: column 1: no fact is called 'space_ration'; "
        "did you mean 'space_ratio'?"]),
    ("rules/space.yaml", "space_ratio < 1\n", "space_ratio < 1 and space_ratio > 2\n", [
        "rules/space.yaml:2: `space_ratio < 1 and space_ratio > 2` can never be true (see each comparison in it)",
        "rules/space.yaml:10: the rule does not fire in its own case (when: space_ratio < 1 and space_ratio > 2)"]),
    ("cautions/dust.yaml", "'cattle' in species", "'cats' in species", [
        "cautions/dust.yaml:7: 'species' is never 'cats' (did you mean 'cattle'?)"]),
    ("rules/space.yaml", "fires: {space_ratio: 0.8}", "fires: {space_ratio: 1.8}", [
        "rules/space.yaml:10: the rule does not fire in its own case (when: space_ratio < 1)"]),
    ("rules/space.yaml", "not_fires: {space_ratio: 1}", "not_fires: {space_ratio: 0.9}", [
        "rules/space.yaml:10: the rule fires in the neighbour in which it must not (when: space_ratio < 1)"]),
    ("rules/space.yaml", "not_fires: {space_ratio: 1}", "not_fires: {space_ratio: null}", [
        "rules/space.yaml:10: the neighbour leaves the rule open (when: space_ratio < 1)"]),
    ("rules/space.yaml", "not_fires: {space_ratio: 1}", "not_fires: {days: 1}", [
        "rules/space.yaml:10: the rule does not read 'days'"]),
    ("rules/space.yaml", "space_ratio > 1.2\n", "space_ratio > 0.9\n", [
        "rules/space.yaml:8: 'too_full' and 'room_to_spare' advise the opposite",
        "rules/space.yaml:19: the rule fires in the neighbour in which it must not (when: space_ratio > 0.9)"]),
    ("rules/space.yaml", "rank: 3", "rank: 3\n  overrides: [too_full]", [
        "rules/space.yaml:17: overrides 'too_full', which matters more (rank 2 before 3)"]),
    ("cautions/dust.yaml", "  when: \"'cattle' in species\"\n", "", []),
    ("questions/first.yaml", "fills: [turned_by]", "fills: [turned_by]\n  when: days < 1 and days > 2", [
        "questions/first.yaml:7: `days < 1 and days > 2` can never be true (see each comparison in it)"]),
    ("facts.yaml", None, "worked_out_nowhere: {label: x, kind: number, per: farm, derived: true}\n", [
        "facts.yaml:5: nothing works out 'worked_out_nowhere' (mend its name, or add the formula)"]),
    # questions
    ("questions/first.yaml", "unit: week", "unit: kg", [
        "questions/first.yaml:15: asks in 'kg', but 'days' is in 'day'"]),
    ("questions/first.yaml", "fork: [fork]", "frok: [fork]", [
        "questions/first.yaml:7: 'turned_by' is never 'frok' (did you mean 'fork'?)",
        "questions/first.yaml:8: the usual answer 'fork' is neither a choice nor a figure (did you mean 'frok'?)"]),
    ("questions/first.yaml", "least: 1", "least: 1\n  most: 0", [
        "questions/first.yaml:9: the least, 1, is above the most, 0"]),
    ("questions/first.yaml", "least: 1", "early: -1", [
        "questions/first.yaml:9: early is a place in the order of asking, not -1"]),
    # words
    ("materials/straws.yaml", "  name: oat straw", "  name: stubble straws", [
        "materials/straws.yaml:18: 'stubble straw' already names 'straw' at materials/straws.yaml:3 "
        "(take it out of one of the two)"]),
    # other files
    ("demo/farm.yaml", None, "schema_version: 1\ngroups: [{class: cow, count: 1}]\nregion: heer\n", [
        "demo/farm.yaml:2: unknown animal 'cow'", "demo/farm.yaml:3: unknown region 'heer' (did you mean 'here'?)"]),
    ("documents/plan.yaml", None, "bed_base: \"{depth} of {nobody}\"\n", [
        "documents/plan.yaml:1: 'bed_base' has a place '{nobody}' that is never filled"]),
    ("documents/plan.yaml", None, "bed_bsae: Room\n", [
        "documents/plan.yaml:1: the program asks for a sentence 'bed_base', which is not there (is 'bed_bsae' meant?)"]),
    ("documents/plan.yaml", None, "fit_head: \"{class\"\n", [
        "documents/plan.yaml:1: 'fit_head' is not readable as a sentence"]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("file", "old", "new", "wanted"), SLIPS, ids=[f"{s[0]}-{n}" for n, s in enumerate(SLIPS)]
)
def test_each_slip_is_told(
    folder: Path, file: str, old: str | None, new: str, wanted: list[str] | None
) -> None:
    path = folder / file
    path.parent.mkdir(exist_ok=True)
    text = path.read_text() if path.exists() else ""
    assert old is None or text.count(old) == 1
    path.write_text(text + new if old is None else text.replace(old, new))
    found = faults(folder)
    if wanted is None:
        assert found[0].startswith(f"{file}:")
        return
    for each in wanted:
        assert any(fault.startswith(each) for fault in found), found


def test_a_lost_id_is_told_where_its_new_name_stands(folder: Path) -> None:
    (folder / "schema").mkdir()
    (folder / IDS_FILE).write_text("materials oat_straw\nmaterials straw\nregions here\nregions yonder\n")
    path = folder / "materials" / "straws.yaml"
    path.write_text(path.read_text().replace("oat_straw:", "oats_straw:"))
    assert faults(folder) == [
        "materials/straws.yaml:17: the material 'oat_straw' is gone, and saved cases or the program may name it "
        "(is 'oats_straw' its new name? Keep the old one)",
        "schema/ids.txt:4: the region 'yonder' is gone, and saved cases or the program may name it "
        "(put it back, or take this line out)",
    ]


def test_every_fault_comes_in_one_run(folder: Path) -> None:
    for file, old, new in (
        ("figures/air.yaml", "low: 0.4", "low: 0.7"),
        ("cautions/dust.yaml", "Open the", "Open 2"),
        ("rules/space.yaml", "space_ratio < 1\n", "space_ration < 1\n"),
        ("regions/here.yaml", "inherits: here", "inherits: nowhere"),
    ):
        path = folder / file
        path.write_text(path.read_text().replace(old, new))
    assert {fault.split(":")[0] for fault in faults(folder)} == {
        "figures/air.yaml", "cautions/dust.yaml", "rules/space.yaml", "regions/here.yaml",
    }  # fmt: skip


@pytest.mark.parametrize(
    "text",
    ["", "\0", "a: b: c", "- x", "\ufeffa: {}", "a: *b", "? [x]\n: y", "a:\n\tb: c", "{", "!!python/x y"],
)
def test_no_file_makes_the_checker_fail(folder: Path, text: str) -> None:
    for file in ("materials/x.yaml", "rules/x.yaml", "facts/x.yaml", "words/x.yaml", "phrases/conversation.yaml",
                 "documents/plan.yaml", "demo/x.yaml"):  # fmt: skip
        (folder / file).parent.mkdir(exist_ok=True)
        (folder / file).write_text(text)
    assert all(":" in fault for fault in faults(folder))


@pytest.mark.slow
def test_the_adviser_knows_nothing_faulty(memory: Memory) -> None:
    assert [str(fault) for fault in check(knowledge_folder(), memory).faults] == []
