"""`byrewise compare`: any two farms or cases, drawn alike, and whether they truly differ."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import jsonschema
import pytest

from advisor.casebook import Casebook, new_case
from advisor.casebook.events import append
from advisor.cli import main
from advisor.cli.compare import NeitherError, NobodyError
from advisor.contracts import schema
from tests.conftest import DEMO

FARM = DEMO / "rushy_end.yaml"
DAY = dt.date(2026, 11, 5)
DRAWS = ("--draws", "20", "--today", DAY.isoformat())
ROOT = Path(__file__).parent.parent.parent


def compared(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    with pytest.raises(SystemExit) as ended:
        main(["compare", *words, *DRAWS])
    out, err = capsys.readouterr()
    assert ended.value.code == 0, err
    return out if "json" in words else " ".join(out.split())


@pytest.fixture
def fewer(tmp_path: Path) -> Path:
    path = tmp_path / "fewer.yaml"
    path.write_text(FARM.read_text(encoding="utf-8").replace("count: 12", "count: 9"), encoding="utf-8")
    return path


@pytest.mark.slow
def test_a_farm_is_alike_with_itself(capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(compared(capsys, str(FARM), str(FARM), "--format", "json"))
    jsonschema.validate(data, schema("compare_result"))
    told = [row["difference"] for row in data["results"].values() if row["difference"]]
    assert told
    assert all(row["low"] == row["value"] == row["high"] == 0 for row in told)
    assert not any(row["more_than_chance"] for row in data["results"].values())
    assert "the two are alike" in compared(capsys, str(FARM), str(FARM))


def test_a_quarter_fewer_cows_is_more_than_chance_though_the_ranges_overlap(
    capsys: pytest.CaptureFixture[str], fewer: Path
) -> None:
    data = json.loads(compared(capsys, str(FARM), str(fewer), "--format", "json"))
    jsonschema.validate(data, schema("compare_result"))
    nitrogen = data["results"]["nitrogen_on_bed_kg_day"]
    assert nitrogen["b"]["high"] > nitrogen["a"]["low"]
    assert nitrogen["difference"]["high"] < 0
    assert nitrogen["more_than_chance"] is True
    shown = compared(capsys, str(FARM), str(fewer))
    assert "9 beef cows" in shown
    assert " yes" in shown
    assert str(fewer)[:8] in shown  # both farms are called alike, so their files are named


def test_the_example_meets_its_schema() -> None:
    path = ROOT / "advisor" / "contracts" / "examples" / "compare_result.json"
    jsonschema.validate(json.loads(path.read_text(encoding="utf-8")), schema("compare_result"))


def test_different_moneys_are_not_compared(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "crowns.yaml"
    path.write_text(FARM.read_text(encoding="utf-8").replace("pounds", "crowns"), encoding="utf-8")
    data = json.loads(compared(capsys, str(FARM), str(path), "--format", "json"))
    assert data["results"]["season_cost"]["difference"] is None
    assert "Cost" not in compared(capsys, str(FARM), str(path))


def test_cases_and_what_is_neither(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path))
    book = Casebook()
    book.add(new_case("empty shed", DAY))
    for words, refusal in (("nowhere", NeitherError), ("empty shed", NobodyError)):
        with pytest.raises(SystemExit) as ended:
            main(["compare", str(FARM), words, *DRAWS])
        assert ended.value.code == 1
        assert str(refusal(name=words)) in capsys.readouterr().err
    acts = [{"set": f"groups.cow.{name}", "to": told} for name, told in (("class", "cow"), ("count", 12))]
    book.add(append(new_case("lower byre", DAY), DAY, "12 cows", acts))
    assert "lower byre" in compared(capsys, "lower byre", str(FARM))
