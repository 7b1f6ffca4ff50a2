"""`byrewise diagnose SIGNS.yaml` or `byrewise diagnose "words"`: what is wrong, and what to do today."""

from __future__ import annotations

import argparse
import datetime as dt
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli.plan import a_day

if TYPE_CHECKING:
    from advisor.farm import Farm
    from advisor.knowledge import Knowledge
    from advisor.plan.make import Plan
    from advisor.plan.wording import Units
    from advisor.troubles import Diagnosis

__all__ = ["add_parser", "run"]

_DRAWS = 200
_FILES = (".yaml", ".yml", ".json")


def add_parser(subparsers: Any) -> None:
    """Add `diagnose`."""
    parser = subparsers.add_parser(
        "diagnose",
        help="what is wrong with the pack, and what to do today",
        description="Find the likely causes of a trouble, the one look that tells most, and what to do by how much.",
    )
    parser.add_argument(
        "signs", metavar="SIGNS", help="a file of signs, - for standard input, or plain words"
    )
    parser.add_argument("--case", metavar="NAME", help="the saved case whose farm gives the numbers")
    parser.add_argument("--farm", metavar="FARM.yaml", help="a farm file that gives the numbers")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="how it is written (text)")
    parser.add_argument("--units", choices=("metric", "us"), help="units to show (else the farm's)")
    parser.add_argument("--today", type=a_day, metavar="YYYY-MM-DD", help="the day to take as today")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="seed of the draws (1)")
    parser.set_defaults(run=run)


def run(namespace: argparse.Namespace) -> int:
    """Diagnose and write. Refusals are raised; `guarded` gives them their exit code."""
    from advisor.knowledge import knowledge

    held = knowledge()
    today = namespace.today or dt.date.today()
    given = _given(namespace, held)
    farm = _farm(namespace, held, given.farm_file)
    plan = None
    if farm is not None:
        from advisor.plan.make import make_plan

        plan = make_plan(farm, held, today, _DRAWS, namespace.seed)
    found = given.diagnosis(held, _facts(plan))
    units: Units = namespace.units or (farm.units if farm and farm.units else "metric")
    effects = _effects(found, plan, namespace.seed)
    if namespace.format == "json":
        from advisor.troubles.result import diagnosis_json

        data = {**diagnosis_json(found, units, effects), "alarm": given.first or None}
        print(json.dumps(data, indent=2, ensure_ascii=True))
        return 0
    from advisor.troubles.words import diagnosis_text

    parts = [given.first] if given.first else []
    if found.told or not parts:
        parts.append(diagnosis_text(found, units, effects))
    print("\n\n".join(parts))
    return 0


class _Given:
    """What the command line gave: words or a file."""

    def __init__(self) -> None:
        self.first = ""  # the first words of an alarm
        self.farm_file: Path | None = None
        self.told: dict[str, str] = {}
        self.readings: dict[str, Any] = {}
        self.file: Any = None

    def diagnosis(self, held: Knowledge, facts: dict[str, Any]) -> Diagnosis:
        """The diagnosis with what was given and the farm's facts."""
        from advisor.troubles import start
        from advisor.troubles.input import diagnosis_of

        if self.file is not None:
            signs, text = self.file
            return diagnosis_of(held, signs, text, facts)
        return start(held, self.told, {**facts, **self.readings})


def _given(namespace: argparse.Namespace, held: Knowledge) -> _Given:
    from advisor.troubles.input import read_signs

    given = _Given()
    path = Path(namespace.signs)
    if namespace.signs == "-":
        given.file = read_signs(sys.stdin.read())
    elif path.suffix.lower() in _FILES:
        given.file = read_signs(path)
        if given.file[0].farm:
            given.farm_file = path.parent / given.file[0].farm
    else:
        _read_words(namespace.signs, held, given)
    return given


def _read_words(text: str, held: Knowledge, given: _Given) -> None:
    """Signs, alarms and readings in plain words."""
    from advisor.knowledge import knowledge_folder
    from advisor.language import lexicon, understand
    from advisor.language.replies import first_words, read_phrases
    from advisor.troubles.listening import evidence_in, readings_in

    reading = understand(text, None, {}, lexicon(held))
    alarms = [str(alarm) for alarm in reading.facts.get("alarm", ())]
    if alarms:
        given.first = first_words(read_phrases(knowledge_folder() / "phrases"), alarms)
    given.told = evidence_in(held, text, reading.facts.get("symptoms", ()), alarms)
    given.readings = dict(readings_in(reading.facts.get("quantities", ())))


def _farm(namespace: argparse.Namespace, held: Knowledge, beside: Path | None) -> Farm | None:
    """The farm of the case or file named, if any."""
    if namespace.case:
        from advisor.casebook import Casebook
        from advisor.dialogue.building import farm_of
        from advisor.dialogue.draft import draft_of

        return farm_of(draft_of(Casebook().read(namespace.case).case), held)
    chosen = Path(namespace.farm) if namespace.farm else beside
    if chosen is None:
        return None
    from advisor.farm import read_farm

    return read_farm(chosen, held)


def _facts(plan: Plan | None) -> dict[str, Any]:
    if plan is None:
        return {}
    from advisor.troubles.farm_facts import farm_facts

    return farm_facts(plan)


def _effects(found: Diagnosis, plan: Plan | None, seed: int) -> dict[str, Any]:
    """What the likeliest cause's remedies do to the season."""
    if plan is None or found.stopped or not found.causes:
        return {}
    from advisor.troubles.effect import season_effect

    return {
        sized.remedy: season_effect(plan, sized.sum.change, _DRAWS, seed)
        for sized in found.remedy(found.causes[0].id)
        if sized.sum.change
    }
