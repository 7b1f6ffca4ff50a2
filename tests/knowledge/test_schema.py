"""The JSON Schemas for editors: in step with the models, and true of the files."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from advisor.knowledge import knowledge_folder
from advisor.knowledge.base import topic_files
from advisor.knowledge.models import TOPICS
from advisor.knowledge.schema import kept_ids, schema_of, schema_texts, write_ids, write_schemas
from advisor.knowledge.yaml_text import parse_yaml, read_yaml

ROOT = Path(__file__).parents[2]


def test_schemas_are_in_step_with_the_models() -> None:
    written = {
        path.name: path.read_text("utf-8") for path in (knowledge_folder() / "schema").glob("*.schema.json")
    }
    assert written == schema_texts(), "run `byrewise knowledge schema`"


@pytest.mark.parametrize("topic", sorted(TOPICS))
def test_a_file_of_each_topic_fits_its_schema(topic: str) -> None:
    schema = schema_of(TOPICS[topic])
    jsonschema.Draft202012Validator.check_schema(schema)
    smallest = min(topic_files(knowledge_folder(), topic), key=lambda path: path.stat().st_size)
    jsonschema.Draft202012Validator(schema).validate(read_yaml(smallest).data)


@pytest.mark.parametrize(
    ("topic", "text"),
    [
        ("glossary", "a: {name: a, meens: b}"),
        ("glossary", "a: {name: a}"),
        ("facts", "a: {label: a, kind: colour, per: farm}"),
        ("rules", "a: text"),
        ("figures", "a: {label: a, si: m, figure: {value: 1, unit: m, basis: b, evidence: []}}"),
    ],
)
def test_slips_do_not_fit(topic: str, text: str) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema_of(TOPICS[topic])).validate(parse_yaml(text, "x").data)


def test_a_figure_may_be_a_single_value() -> None:
    text = (
        "a: {label: a, si: m, figure: {value: 1, unit: m, basis: b, evidence: [{value: 1, seen: judgement}]}}"
    )
    jsonschema.Draft202012Validator(schema_of(TOPICS["figures"])).validate(parse_yaml(text, "x").data)


def test_the_editor_settings_name_every_schema() -> None:
    settings = json.loads((ROOT / ".vscode" / "settings.json").read_text("utf-8"))["yaml.schemas"]
    assert set(settings) == {f"./knowledge/schema/{name}" for name in schema_texts()}
    for schema, patterns in settings.items():
        topic = Path(schema).name.removesuffix(".schema.json")
        found = {path for pattern in patterns for path in ROOT.glob(pattern)}
        assert found == set(topic_files(knowledge_folder(), topic)), topic


def test_writing_schemas_takes_away_old_ones_and_never_an_id(tmp_path: Path) -> None:
    from advisor.knowledge import knowledge

    (tmp_path / "schema").mkdir()
    (tmp_path / "schema" / "gone.schema.json").write_text("{}")
    (tmp_path / "schema" / "ids.txt").write_text("materials of_old\n")
    assert {path.name for path in write_schemas(tmp_path)} == set(schema_texts())
    assert not (tmp_path / "schema" / "gone.schema.json").exists()
    write_ids(tmp_path, knowledge())
    assert {("materials", "of_old"), ("materials", "straw"), ("animals", "ewe")} <= set(kept_ids(tmp_path))
    before = (tmp_path / "schema" / "ids.txt").read_text()
    write_ids(tmp_path, knowledge())
    assert (tmp_path / "schema" / "ids.txt").read_text() == before
