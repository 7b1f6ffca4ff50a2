"""Farm files that cannot be right: which line, what is wrong, what would be right, all in one run."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.cli import parser
from advisor.cli.errors import guarded
from advisor.farm import Farm, FarmError, find_id, read_farm, read_farm_text
from advisor.knowledge import Knowledge
from advisor.units import convert
from tests.conftest import DEMO

GOOD = """
start: 2026-11-01
end: 2027-03-31
groups:
  - {class: beef cow, count: 10}
pens:
  - {id: shed, area: 100 m2}
materials:
  - {name: wheat straw, amount: 20 t}
"""


def faults(text: str, known: Knowledge) -> list[str]:
    with pytest.raises(FarmError) as refusal:
        read_farm_text(text, known, "farm.yaml")
    assert str(refusal.value).splitlines()
    return [str(fault) for fault in refusal.value.faults]


def test_a_sound_farm_has_no_faults(known: Knowledge) -> None:
    farm = read_farm_text(GOOD, known)
    assert farm.groups[0].class_ == "beef_cow"
    assert farm.materials[0].name == "wheat_straw"
    for path in DEMO.glob("*.yaml"):
        assert isinstance(read_farm(path, known), Farm)


@pytest.mark.parametrize(
    ("was", "now", "line", "wrong", "right"),
    [
        ("count: 10", "count: 0", 5, "should be at least 1", ""),
        ("count: 10", "count: 400", 7, "400 animals cannot stand in 100 m2", "check the number of animals"),
        ("amount: 20 t", "moisture: 140 %", 9, "140 % is not a share", "from 0 % to 100 %"),
        ("amount: 20 t", "moisture: 14", 9, "14 is not a share", "from 0 % to 100 %"),
        ("2027-03-31", "2026-03-31", 3, "ends on 2026-03-31: the dates are the wrong way round", ""),
        ("2027-03-31", "2029-03-31", 3, "at most 730", ""),
        ("2027-03-31", "31/03/2027", 3, "'31/03/2027' is not a date", "2026-11-05"),
        ("beef cow", "beef cwo", 5, "unknown animal 'beef cwo'", "did you mean 'beef cow'?"),
        ("wheat straw", "wheet straw", 9, "unknown material 'wheet straw'", "did you mean 'wheat straw'?"),
        ("start:", "strat:", 2, "unknown key 'strat'", "did you mean 'start'?"),
        ("area:", "size:", 7, "unknown key 'pens.0.size'", "known keys: id, area"),
        ("100 m2", "100 kg", 7, "they measure different things", "give it in m2"),
        ("100 m2", "large", 7, "'large' is not a number with a unit", "like '96 m2'"),
        ("100 m2", "120 to 100 m2", 7, "runs from high to low", ""),
        ("100 m2", "-3 m2", 7, "too small: at least 0.5 m2", ""),
        ("20 t", "{value: 20, low: 25, high: 30, unit: t}", 9, "must rise from low to value to high", ""),
        ("20 t", "{value: many}", 9, "could not convert", ""),
        ("20 t", "true", 9, "give a number with its unit", "'10 kg'"),
        ("count: 10}", "count: 10, pen: byre}", 5, "there is no pen 'byre'", "pens: shed"),
        ("count: 10}", "count: 10, in: 2027-01-01, out: 2026-12-01}", 5, "the dates are the wrong way round", ""),
        (
            "count: 10}", "count: 10, changes: [{date: 2028-01-01, count: 3}]}", 5,
            "the change on 2028-01-01 is outside the season", "",
        ),
        ("amount: 20 t", "packs: 30", 9, "what do they weigh", "pack_mass"),
        ("amount: 20 t", "packs: 30, pack: thimble", 9, "has no pack 'thimble'", "one of:"),
        ("start: 2026-11-01", "start: 2026-11-01\ndays: 20", 4, "days is 20, but", "are 150 days"),
        ("start: 2026-11-01", "region: narnia", 2, "unknown region 'narnia'", ""),
        ("start: 2026-11-01", "base: {material: unobtainium foam}", 2, "unknown material 'unobtainium foam'", ""),
    ],
)  # fmt: skip
def test_what_is_wrong_where_and_what_would_be_right(
    was: str, now: str, line: int, wrong: str, right: str, known: Knowledge
) -> None:
    assert was in GOOD
    found = faults(GOOD.replace(was, now), known)
    told = [one for one in found if wrong in one]
    assert told, found
    assert told[0].startswith(f"farm.yaml:{line}: "), told
    assert right in told[0]


def test_every_fault_in_one_run(known: Knowledge) -> None:
    text = """
start: 2026-13-01
groups:
  - {class: beef cwo, count: 0}
  - {class: ewe, count: 4, colour: white}
pens:
  - {area: 20 furlongs}
materials:
  - {name: wheet straw, moisture: 140 %}
"""
    found = faults(text, known)
    lines = [int(one.split(":")[1]) for one in found]
    assert lines == sorted(lines)
    assert set(lines) == {2, 4, 5, 7, 9}
    assert len(found) == 7


def test_contradictions_are_all_told_too(known: Knowledge) -> None:
    text = """
groups:
  - {class: beef cow, count: 4}
  - {class: ewe, count: 4, pen: b}
pens:
  - {id: a, area: 50 m2}
  - {id: a, area: 50 m2}
materials:
  - {name: wheat straw, amount: 20 t}
bedding:
  - {material: barley straw, rate: 5 kg/day}
  - {material: wheat straw, rate: 5 kg/day, pen: c, from: 2027-01-02, to: 2027-01-01}
"""
    found = "\n".join(faults(text, known))
    for wrong in (
        "which pen do the 4 beef_cow use?", "there is no pen 'b'", "every pen needs an id of its own",
        "'barley_straw' is not among the materials", "there is no pen 'c'", "the dates are the wrong way round",
    ):  # fmt: skip
        assert wrong in found


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("", "is empty or not a farm"),
        ("- a\n- b\n", "is empty or not a farm"),
        ("groups: [\n", "not readable as YAML"),
        ("groups: &x [1]\npens: *x\n", "aliases"),
        ("start: 2026-11-01\nstart: 2026-12-01\ngroups: []\n", "is written twice"),
        ("groups: 3\n", "groups"),
        ("groups: [3]\nmaterials: [[x]]\n", "groups.0"),
    ],
)
def test_what_is_not_a_farm_at_all(text: str, wrong: str, known: Knowledge) -> None:
    found = faults(text, known)
    assert any(wrong in one for one in found), found


def test_files_that_cannot_be_read(tmp_path: Path, known: Knowledge) -> None:
    with pytest.raises(FarmError, match="cannot be read"):
        read_farm(tmp_path / "none.yaml", known)
    with pytest.raises(FarmError, match="cannot be read"):
        read_farm(tmp_path, known)
    picture = tmp_path / "picture.yaml"
    picture.write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(FarmError, match="not plain text in UTF-8"):
        read_farm(picture, known)
    marked = tmp_path / "marked.yaml"
    marked.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert read_farm(marked, known).groups[0].count == 10


def test_the_command_refuses_with_one_message_and_code_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "farm.yaml"
    path.write_text(GOOD.replace("count: 10", "count: 0").replace("20 t", "-1 t"), encoding="utf-8")
    options = parser("plan").parse_args(["plan", str(path)])
    assert guarded(lambda: int(options.run(options))) == 1
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith("byrewise: ")
    assert f"{path}:5: " in shown.err
    assert f"{path}:9: " in shown.err


def test_names_however_they_are_written(known: Knowledge) -> None:
    for word in ("beef cow", "Beef Cow", " beef  cow ", "beef_cow"):
        assert find_id(word, known.animals) == ("beef_cow", "")
    assert find_id("beef cwo", known.animals) == (None, "beef cow")
    assert find_id("qqqq", known.animals)[0] is None


@settings(max_examples=60)
@given(text=st.text(alphabet="abcdefgh {}[]:-,#'\"\n\t0123456789%&*!|>é", max_size=80))
def test_no_text_ever_crashes_the_reader(text: str, known: Knowledge) -> None:
    with contextlib.suppress(FarmError):
        assert read_farm_text(text, known).groups


@settings(max_examples=60)
@given(value=st.floats(5.0, 5e4), unit=st.sampled_from(["m2", "ft2", "ha", "acre"]))
def test_a_told_area_is_the_same_in_any_unit(value: float, unit: str, known: Knowledge) -> None:
    text = f"{convert(value, 'm2', unit)!r} {unit}"
    area = read_farm_text(GOOD.replace("count: 10", "count: 1").replace("100 m2", text), known).pens[0].area
    assert area is not None
    assert area.value == pytest.approx(value, rel=1e-9)
