"""`byrewise mix`: recipe files in, amounts out; faults with their lines."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from advisor.cli import parser
from advisor.cli.errors import guarded
from advisor.contracts import schema
from advisor.farm import FarmError
from advisor.farm.recipe import read_recipe_text, recipe_schema
from advisor.knowledge import Knowledge
from advisor.knowledge.yaml_text import parse_yaml
from advisor.plan.mix import MixPlan, make_mix
from advisor.plan.mix_json import mix_data
from advisor.plan.mix_words import mix_text

EXAMPLES = Path(__file__).parent.parent.parent / "advisor" / "contracts" / "examples"

OWN = """
materials:
  - {name: dung of our own, moisture: 78 %, carbon: 44 %, nitrogen: 2.4 %, density: 900, amount: AMOUNT}
  - {name: straw of our own, moisture: 12 %, carbon: 45 %, c_to_n: 82, density: 40 kg/m3, amount: unknown}
targets: {c_to_n: 30}
"""


def worked(text: str, known: Knowledge, draws: int = 100) -> MixPlan:
    return make_mix(read_recipe_text(text, known), known, draws)


def results(text: str, known: Knowledge, draws: int = 100) -> dict[str, Any]:
    data = mix_data(worked(text, known, draws), known)
    jsonschema.validate(data, schema("recipe_result"))
    return data


def faults(text: str, known: Knowledge) -> list[str]:
    with pytest.raises(FarmError) as refusal:
        read_recipe_text(text, known, "r.yaml")
    return [str(fault) for fault in refusal.value.faults]


def run(*arguments: str) -> int:
    options = parser("mix").parse_args(["mix", *arguments])
    return guarded(lambda: int(options.run(options)))


# --- answers ----------------------------------------------------------------------------------------------


def test_the_schema_is_in_step() -> None:
    """Regenerate with json.dumps(recipe_schema(), indent=2) after changing the model."""
    assert schema("recipe") == json.loads(json.dumps(recipe_schema()))


def test_the_example_gives_the_example_result(known: Knowledge) -> None:
    text = (EXAMPLES / "recipe.yaml").read_text(encoding="utf-8")
    jsonschema.validate(parse_yaml(text, "recipe").data, schema("recipe"))
    example = json.loads((EXAMPLES / "recipe_result.json").read_text(encoding="utf-8"))
    jsonschema.validate(example, schema("recipe_result"))
    data = results(text, known)
    assert data["materials"].keys() == example["materials"].keys()
    assert data["results"].keys() == example["results"].keys()
    assert not data["missed"]
    assert data["results"]["c_to_n"]["low"] < 28 < data["results"]["c_to_n"]["high"]


def test_an_exact_recipe_is_exact(known: Knowledge) -> None:
    data = results(OWN.replace("AMOUNT", "1000 kg"), known)
    ratio, straw = data["results"]["c_to_n"], data["materials"]["straw_of_our_own"]
    assert ratio["low"] == ratio["value"] == ratio["high"] == pytest.approx(30, rel=1e-5)
    # (30 N_b - C_b) / (C_a - 30 N_a) by hand, for shares of the weight as it is
    by_hand = 1000 * 0.22 * (30 * 0.024 - 0.44) / (0.88 * (0.45 - 30 * 0.45 / 82))
    assert straw["mass_kg"]["value"] == pytest.approx(by_hand, rel=1e-5)
    assert straw["volume_m3"]["value"] == pytest.approx(by_hand / 40, rel=1e-5)
    assert data["assumptions"] == []


@pytest.mark.parametrize(
    "amount", ["1 t", "1000", "2204.62262 lb", "1.111111111 m3", "{value: 1, unit: t}", "1.4532722 yd3"]
)
def test_the_unit_told_never_changes_the_answer(amount: str, known: Knowledge) -> None:
    told = results(OWN.replace("AMOUNT", amount), known)["materials"]["straw_of_our_own"]["mass_kg"]["value"]
    plain = results(OWN.replace("AMOUNT", "1000 kg"), known)["materials"]["straw_of_our_own"]["mass_kg"][
        "value"
    ]
    assert told == pytest.approx(plain, rel=1e-5)


def test_published_percentages_of_the_whole_weight(known: Knowledge) -> None:
    # docslib.org/doc/12269573: 50 lb hay, 10 lb scraps and 2 lb grounds come to 34.7; no moisture is told
    data = results(
        """
materials:
  - {name: hay heap, amount: 50 lb, carbon: 40 %, nitrogen: 1 %, share_of: whole}
  - {name: scraps pail, amount: 10 lb, carbon: 10 %, nitrogen: 1 %, share_of: whole}
  - {name: grounds tin, amount: 2 lb, carbon: 25 %, nitrogen: 1 %, share_of: whole}
""",
        known,
    )
    assert round(data["results"]["c_to_n"]["value"], 1) == 34.7
    assert data["results"]["moisture"] is None
    assert data["results"]["volume_m3"] is None


def test_a_cubic_yard_of_sawdust(known: Knowledge) -> None:
    # ask2.extension.org FAQ 351921: about 16 lb of urea, worked from a volume and its weight
    data = results(
        """
materials:
  - {name: yard of sawdust, volume: 1 yd3, density: 400 lb/yd3, carbon: 60 %, c_to_n: 400, share_of: whole}
  - {name: bought nitrogen, carbon: 0, nitrogen: 46 %, share_of: whole}
targets: {c_to_n: 30}
""",
        known,
    )
    assert round(data["materials"]["bought_nitrogen"]["mass_kg"]["value"] / 0.45359237) == 16


def test_known_materials_bring_ranges_and_sources(known: Knowledge) -> None:
    data = results("materials:\n  - {name: horse manure, amount: 3 m3}\n  - name: straw\n", known)
    assert data["targets"]["usual"] is True
    ratio = data["results"]["c_to_n"]
    assert ratio["low"] < ratio["value"] < ratio["high"]
    assert data["materials"]["horse_manure"]["volume_m3"]["value"] == 3.0
    assert (
        data["materials"]["horse_manure"]["mass_kg"]["low"]
        < data["materials"]["horse_manure"]["mass_kg"]["high"]
    )
    assert {a["property"] for a in data["assumptions"] if a["material"] == "straw"} == {
        "moisture", "carbon", "nitrogen", "density",
    }  # fmt: skip
    assert data["sources"]


def test_the_same_material_twice_keeps_both(known: Knowledge) -> None:
    data = results(
        "materials:\n  - {name: straw, amount: 1 t}\n  - {name: straw, amount: 2 t, moisture: 30 %}\n", known
    )
    assert data["materials"]["straw_2"]["moisture"]["value"] == 0.3


def test_a_told_nitrogen_and_ratio_give_the_carbon(known: Knowledge) -> None:
    text = "materials:\n  - {name: mud of ours, amount: 1 t, moisture: 50 %, nitrogen: 2 %, c_to_n: 15:1}\n"
    assert worked(text, known).materials[0].holds.carbon == pytest.approx(0.15)


def test_a_ratio_alone_takes_the_carbon_of_plants(known: Knowledge) -> None:
    data = results("materials:\n  - {name: weeds of ours, amount: 1 t, moisture: 50 %, c_to_n: 15}\n", known)
    assert data["results"]["c_to_n"]["value"] == pytest.approx(15, rel=1e-6)
    assert [(a["material"], a["property"]) for a in data["assumptions"]] == [("weeds_of_ours", "carbon")]


def test_only_moisture_known(known: Knowledge) -> None:
    # Cornell: 10 kg of grass at 77 % take 6.8 kg of leaves at 35 % to reach 60 %
    text = """
materials:
  - {name: cut grass of ours, amount: 10 kg, moisture: 77 %}
  - {name: raked leaves of ours, moisture: 35 %}
targets: {moisture: 60 %}
"""
    data = results(text, known)
    assert round(data["materials"]["raked_leaves_of_ours"]["mass_kg"]["value"], 1) == 6.8
    assert data["results"]["c_to_n"] is None
    assert "Carbon to nitrogen I cannot say" in mix_text(worked(text, known), known)


def test_impossible_carbon_is_said(known: Knowledge) -> None:
    # the handbook's sawdust (BC appendix A): 0.43 % nitrogen at 475 to 1 would be 204 % carbon
    text = (
        "materials:\n  - {name: dust of ours, amount: 1 t, moisture: 42 %, nitrogen: 0.43 %, c_to_n: 475}\n"
    )
    assert any("200 %" in note for note in results(text, known)["notes"])


@pytest.mark.parametrize(("seed", "amount"), [(0, 100), (3, 4000)])
def test_a_seed_fixes_the_answer(known: Knowledge, seed: int, amount: int) -> None:
    recipe = read_recipe_text(
        f"materials:\n  - {{name: hen manure, amount: {amount}}}\n  - name: straw\n", known
    )
    once, again = (mix_data(make_mix(recipe, known, 20, seed), known) for _ in range(2))
    assert once == again
    none = make_mix(recipe, known, 0, seed)
    many = make_mix(recipe, known, 20, seed)
    assert none.c_to_n == pytest.approx(many.c_to_n[0])  # the typical answer stands first among the draws


# --- aims that cannot be met ------------------------------------------------------------------------------


def test_a_missed_ratio_is_named_with_the_nearest_and_a_mend(known: Knowledge) -> None:
    text = OWN.replace("AMOUNT", "1 t").replace("amount: unknown", "most: 50 kg")
    (missed,) = results(text, known)["missed"]
    assert missed["target"] == "c_to_n"
    assert missed["nearest"] < 30
    assert "carbon" in missed["mend"]
    assert "cannot be met" in mix_text(worked(text, known), known)


def test_too_dry_says_how_much_water(known: Knowledge) -> None:
    text = "materials:\n  - {name: straw, amount: 1 t, moisture: 12 %}\ntargets: {moisture: 50 to 60 %}\n"
    (missed,) = results(text, known)["missed"]
    assert missed["mend"] == "Add about 760 kg of water, or something wetter."


@pytest.mark.parametrize(
    ("targets", "word"),
    [("{moisture: 20 %}", "drier"), ("{c_to_n: 5}", "nitrogen")],
)
def test_other_mends(targets: str, word: str, known: Knowledge) -> None:
    text = f"materials:\n  - {{name: cow manure, amount: 1 t}}\n  - {{name: straw, most: 1 kg}}\ntargets: {targets}\n"
    (missed,) = results(text, known)["missed"]
    assert word in missed["mend"]


def test_a_total_that_cannot_be(known: Knowledge) -> None:
    text = "total: 5 t\nmaterials:\n  - {name: cow manure, amount: 1 t}\n  - {name: straw, most: 1 t}\n"
    missed = {m["target"]: m for m in results(text, known)["missed"]}
    assert missed["total"]["nearest"] == 2000
    assert "2 t" in mix_text(worked(text, known), known)


def test_aims_given_up(known: Knowledge) -> None:
    text = OWN.replace("AMOUNT", "1 t").replace(
        "{c_to_n: 30}", "{c_to_n: 30, moisture: {low: 0.03, high: 0.04}}"
    )
    (missed,) = results(text, known)["missed"]
    assert missed["given_up"]
    shown = mix_text(worked(text, known), known)
    assert "left that aim aside" in shown
    water = "materials:\n  - {name: water, amount: 10}\ntargets: {c_to_n: 30}\n"
    assert results(water, known)["missed"][0]["nearest"] is None
    assert "hold no nitrogen" in mix_text(worked(water, known), known)


# --- words ------------------------------------------------------------------------------------------------


def test_text_in_either_units(known: Knowledge) -> None:
    metric = mix_text(worked(OWN.replace("AMOUNT", "1 t"), known), known)
    assert "about" not in metric.split("Use")[0].splitlines()[3]
    assert "straw of our own" in metric
    us = mix_text(worked("units: us\n" + OWN.replace("AMOUNT", "1 t"), known), known)
    assert "lb" in us
    assert "cu" in us


def test_cautions_of_what_is_used(known: Knowledge) -> None:
    data = results("materials:\n  - {name: hay, amount: 1 t}\n  - {name: straw, most: 0 kg}\n", known)
    assert data["cautions"]
    order = ["fatal", "serious", "nuisance"]
    ranks = [order.index(c["severity"]) for c in data["cautions"]]
    assert ranks == sorted(ranks)
    assert "leave it out" in mix_text(
        worked("materials:\n  - {name: hay, amount: 1 t}\n  - {name: straw, most: 0 kg}\n", known), known
    )


# --- faults -----------------------------------------------------------------------------------------------


def test_every_fault_in_one_run(known: Knowledge) -> None:
    found = faults(
        """materials:
  - name: wheat strow
  - name: horse manure
    amount: 3 m3
    moisture: 140 %
    smell: bad
  - name: magic dust
    moisture: 50 %
    amount: 2 furlongs
""",
        known,
    )
    assert [line.split(": ")[0] for line in found] == ["r.yaml:2", "r.yaml:5", "r.yaml:6", "r.yaml:9"]
    assert "did you mean 'wheat straw'?" in found[0]
    assert "140 % is not a share" in found[1]
    assert "unknown key" in found[2]
    assert "furlongs" in found[3]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty or not a recipe"),
        ("materials: []\n", "materials"),
        ("materials:\n  - {name: 'a: b', amount: [1]}\n", "give a number with its unit"),
        ("materials:\n  - {name: straw}\n", "how big the mix is"),
        ("total: 1 t\nmaterials:\n  - {name: straw, most: 0}\n", "how big the mix is"),
        ("materials:\n  - {name: straw, amount: 1 t, volume: 2 m3}\n", "not both"),
        ("materials:\n  - {name: straw, volume: 2 t}\n", "under `amount:`"),
        ("materials:\n  - {name: straw, amount: 2 t, most: 3 t}\n", "takes no `least` or `most`"),
        ("materials:\n  - {name: straw, least: 4 t, most: 3 t}\n", "`least` is more than `most`"),
        ("materials:\n  - {name: my stuff, moisture: 40 %, amount: 3 m3}\n", "how heavy is a cubic metre"),
        ("materials:\n  - {name: my stuff, moisture: 40 %, amount: 3 t}\n  - {name: straw}\n", "add `c_to_n:`"),
        ("materials:\n  - {name: my stuff, c_to_n: 40, amount: 3 t}\n  - {name: straw}\n", "add `moisture:`"),
        (
            "materials:\n  - {name: my stuff, c_to_n: 40, share_of: whole, amount: 3 t}\n",
            "a ratio alone does not say",
        ),
        (
            "materials:\n  - {name: my stuff, moisture: 40 %, carbon: 40 %, nitrogen: 1 %, c_to_n: 20, amount: 1}\n",
            "carbon over nitrogen is 40, but c_to_n says 20",
        ),
        ("materials:\n  - {name: zzyzx, amount: 1}\n", "unknown material 'zzyzx'"),
        ("materials:\n  - {name: straw, amount: 1}\ntargets: {c_to_n: {low: a, high: b}}\n", "must be numbers"),
        ("materials:\n  - {name: straw, amount: -1 t}\n", "too small"),
        ("materials: [\n", "not readable as YAML"),
    ],
)  # fmt: skip
def test_what_is_wrong_and_what_would_be_right(text: str, said: str, known: Knowledge) -> None:
    found = faults(text, known)
    assert any(said in line for line in found), found
    assert all(line.startswith("r.yaml:") for line in found)


# --- the command ------------------------------------------------------------------------------------------


def test_the_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    recipe = str(EXAMPLES / "recipe.yaml")
    assert run(recipe) == 0
    assert "Heap behind the stable" in capsys.readouterr().out
    target = tmp_path / "out.json"
    assert run(recipe, "--format", "json", "-o", str(target), "--draws", "10") == 0
    assert json.loads(target.read_text(encoding="utf-8"))["draws"] == 10
    assert str(target) in capsys.readouterr().err
    assert run(recipe, "-o", str(target)) == 1
    assert "already there" in capsys.readouterr().err
    assert run(recipe, "-o", str(target), "--force", "--units", "us") == 0
    assert "lb" in target.read_text(encoding="utf-8")
    assert run(str(tmp_path / "none.yaml")) == 1
    assert "cannot be read" in capsys.readouterr().err
    monkeypatch.setattr("sys.stdin", (EXAMPLES / "recipe.yaml").open(encoding="utf-8"))
    assert run("-") == 0
    for wrong in ("-5", "many"):
        with pytest.raises(SystemExit) as leaving:
            run(recipe, "--draws", wrong)
        assert leaving.value.code == 2
