"""The published JSON Schemas: in step with the models, and met by the examples and by real results."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from advisor.contracts import farm_schema, schema
from advisor.farm import read_farm
from advisor.knowledge import Knowledge
from advisor.knowledge.yaml_text import read_yaml
from advisor.plan.as_json import plan_data
from advisor.plan.make import make_plan
from tests.conftest import DEMO, TODAY

FOLDER = Path(__file__).parent.parent.parent / "advisor" / "contracts"
EXAMPLES = FOLDER / "examples"


def test_the_farm_schema_is_in_step() -> None:
    """Regenerate with `python -m tests.contracts.write` after changing the farm model."""
    assert schema("farm") == json.loads(json.dumps(farm_schema()))


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.schema.json")), ids=lambda p: p.name)
def test_each_schema_is_sound(path: Path) -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("path", [EXAMPLES / "farm.yaml", *sorted(DEMO.glob("*.yaml"))], ids=lambda p: p.name)
def test_example_farms_meet_the_schema_and_can_be_read(path: Path, known: Knowledge) -> None:
    jsonschema.validate(read_yaml(path).data, schema("farm"))
    read_farm(path, known)


def test_plan_results_meet_the_schema(known: Knowledge) -> None:
    example = json.loads((EXAMPLES / "plan_result.json").read_text(encoding="utf-8"))
    jsonschema.validate(example, schema("plan_result"))
    for path in sorted(DEMO.glob("*.yaml")):
        data = plan_data(make_plan(read_farm(path, known), known, TODAY, 20), trace=path.stem == "hen_loft")
        jsonschema.validate(data, schema("plan_result"))
        assert set(example["results"]) == set(data["results"])
