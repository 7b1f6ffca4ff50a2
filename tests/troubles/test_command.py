"""`byrewise diagnose`, its contracts, and what a farm's numbers add."""

from __future__ import annotations

import datetime as dt
import io
import json
from pathlib import Path

import jsonschema
import pytest

from advisor.cli import main
from advisor.contracts import schema
from advisor.farm import read_farm_text
from advisor.knowledge import Knowledge
from advisor.knowledge.yaml_text import read_yaml
from advisor.plan.make import Plan, make_plan
from advisor.troubles import start
from advisor.troubles.effect import changed_farm, season_effect
from advisor.troubles.farm_facts import farm_facts
from advisor.troubles.result import diagnosis_json
from advisor.troubles.words import season_text

EXAMPLES = Path(__file__).parent.parent.parent / "advisor" / "contracts" / "examples"
FARM = """
groups:
- {class: beef cow, count: 14, weight: 600 kg}
pens:
- {id: shed, area: 96 m2}
materials:
- {name: wheat straw, packs: 60, pack: round_bale}
start: 2026-11-05
end: 2027-04-15
bedding:
- {material: wheat straw, rate: 80 kg/day}
"""
TODAY = dt.date(2027, 1, 20)


@pytest.fixture(scope="module")
def plan(known: Knowledge) -> Plan:
    return make_plan(read_farm_text(FARM, known), known, TODAY, 50)


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        main(["diagnose", *words])
    out, err = capsys.readouterr()
    return int(left.value.code or 0), out, err


def test_the_examples_meet_the_contracts(capsys: pytest.CaptureFixture[str]) -> None:
    jsonschema.validate(read_yaml(EXAMPLES / "diagnosis_in.yaml").data, schema("diagnosis_in"))
    code, out, _ = run(capsys, str(EXAMPLES / "diagnosis_in.yaml"), "--format", "json")
    assert code == 0
    jsonschema.validate(json.loads(out), schema("diagnosis_out"))
    example = json.loads((EXAMPLES / "diagnosis_out.json").read_text("utf-8"))
    jsonschema.validate(example, schema("diagnosis_out"))
    assert [c["id"] for c in example["causes"]] == [c["id"] for c in json.loads(out)["causes"]]


@pytest.mark.parametrize("told", [[], ["smoke"], ["wet surface"], ["heap too hot"], ["rotten egg smell"]])
def test_every_answer_meets_the_contract(told: list[str], known: Knowledge) -> None:
    jsonschema.validate(diagnosis_json(start(known, told)), schema("diagnosis_out"))


def test_plain_words(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "it's wet by the trough")
    assert code == 0
    assert "1. A leaking or splashing drinker: very likely." in out


def test_an_emergency_in_words_opens_with_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "there is smoke coming out of the heap")
    assert code == 0
    assert "fire service" in out.splitlines()[0]
    assert "Most likely" not in out


def test_standard_input_and_a_farm_beside(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "farm.yaml").write_text(FARM, "utf-8")
    (tmp_path / "signs.yaml").write_text("signs: [wet surface]\nfarm: farm.yaml\n", "utf-8")
    code, out, _ = run(capsys, str(tmp_path / "signs.yaml"), "--today", "2027-01-20")
    assert code == 0
    assert "round bale" in out
    assert "What it does to the season" in out
    monkeypatch.setattr("sys.stdin", io.StringIO("signs: [steam]\n"))
    assert run(capsys, "-")[0] == 0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("signs: [wet surfaces]\n", "did you mean 'wet surface'"),
        ("signs: [steam]\nchecks: {squeeze_top: sings}\n", "no result"),
        ("checks: {squeezing: drips}\n", "no check"),
        ("sign: [steam]\n", "did you mean 'signs'"),
        ("", "holds no signs"),
        ("signs: [\n", ":"),
    ],
)
def test_a_bad_file_is_refused_with_its_line(
    text: str, says: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "signs.yaml"
    path.write_text(text, "utf-8")
    code, out, err = run(capsys, str(path))
    assert code == 1
    assert out == ""
    assert says in err


def test_yaml_yes_and_no_are_words(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "signs.yaml"
    path.write_text("signs: [coughing animals]\nchecks: {sick_look: yes}\n", "utf-8")
    code, out, _ = run(capsys, str(path), "--format", "json")
    assert code == 0
    assert json.loads(out)["evidence"]["sick_look"] == "yes"


def test_farm_facts_are_the_farms_own(plan: Plan) -> None:
    facts = farm_facts(plan)
    assert facts["area_m2"] == 96
    assert facts["heads"] == 14
    assert facts["bedding"] == "wheat_straw"
    assert facts["bedding_kg_day"] == 80
    assert facts["days_left"] == 85  # 20 January to 15 April
    assert json.loads(json.dumps(facts)) == facts
    low, middle, high = facts["excreta_kg_day"]
    assert low < middle < high


def test_an_area_nobody_told_is_no_evidence(known: Knowledge) -> None:
    farm = read_farm_text("groups: [{class: ewe, count: 30}]\n", known)
    facts = farm_facts(make_plan(farm, known, TODAY, 20))
    assert "space_ratio" not in facts
    assert "area_m2" not in facts


def test_more_bedding_shortens_the_supply_and_deepens_the_pack(plan: Plan) -> None:
    found = {each.name: each for each in season_effect(plan, {"bedding_kg_day": 140.0}, 50)}
    assert found["supply_lasts_days"].after[1] < found["supply_lasts_days"].before[1]
    assert found["pack_end_depth_m"].after[1] > found["pack_end_depth_m"].before[1]
    # 60 kg a day more on each of the 85 days left
    more = found["bedding_total_kg"].after[1] - found["bedding_total_kg"].before[1]
    assert more == pytest.approx(60 * 85, rel=0.05)
    assert "before" in season_text(tuple(found.values()))


def test_fewer_animals_leave_a_lower_pack(plan: Plan) -> None:
    found = {each.name: each for each in season_effect(plan, {"heads_less": 3.0}, 50)}
    assert found["pack_end_depth_m"].after[1] < found["pack_end_depth_m"].before[1]


def test_no_change_has_no_effect(plan: Plan) -> None:
    assert season_effect(plan, {}, 20) == ()
    assert "nothing" in season_text(())
    assert changed_farm(plan, {"heads_less": 2.0}).groups[0].changes[-1].count == 12


def test_more_bedding_today_is_only_today(plan: Plan) -> None:
    farm = changed_farm(plan, {"bedding_today_kg": 500.0})
    assert farm.bedding != "advise"
    last = farm.bedding[-1]
    assert (last.from_, last.to) == (TODAY, TODAY + dt.timedelta(days=1))
    assert last.rate.value == 500
