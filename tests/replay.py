"""Replay the conversations of transcripts_demo/ and compare them with what was approved.

    python -m tests.replay                     replay all; say what differs
    python -m tests.replay hens us_units       replay these
    python -m tests.replay --approve [NAME..]  write what is said now as the approved text; review the diff

Facts, results, sources and questions are compared strictly: a difference there changes what is promised.
Wording is compared with the approved text, letter by letter. A new conversation is a file with `title`,
`today` and `turns: [{say: ...}, ...]`; approving it fills in the rest.
"""

from __future__ import annotations

import argparse
import datetime as dt
import difflib
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from advisor.casebook import new_case
from advisor.dialogue.context import Context
from advisor.dialogue.draft import holds_facts
from advisor.dialogue.hearing import Ears
from advisor.dialogue.opening import opening
from advisor.dialogue.reply import Reply
from advisor.dialogue.turn import turn
from advisor.knowledge import knowledge

__all__ = ["FOLDER", "Replayed", "differences", "names", "read", "replay"]

FOLDER = Path(__file__).resolve().parent.parent / "transcripts_demo"


@dataclass(frozen=True)
class Replayed:
    """What a turn came to."""

    say: str
    asks: str | None
    facts: list[dict[str, Any]] = field(default_factory=list)
    results: dict[str, list[float]] = field(default_factory=dict)
    sources: list[str] = field(default_factory=list)
    effects: list[str] = field(default_factory=list)
    reply: str = ""

    def meaning(self) -> dict[str, Any]:
        """What is compared strictly."""
        return {
            "asks": self.asks,
            "facts": self.facts,
            "results": self.results,
            "sources": self.sources,
            "effects": self.effects,
        }


def names() -> list[str]:
    """The conversations there are."""
    return sorted(path.stem for path in FOLDER.glob("*.yaml"))


def read(name: str) -> dict[str, Any]:
    """A conversation as kept."""
    found: dict[str, Any] = yaml.safe_load((FOLDER / f"{name}.yaml").read_text(encoding="utf-8"))
    return found


@cache
def _ears() -> Ears:
    return Ears(knowledge())


def replay(script: Mapping[str, Any]) -> tuple[str, list[Replayed]]:
    """The opening words, and every turn as it goes now."""
    ears = _ears()
    today = script["today"]
    assert isinstance(today, dt.date)
    context = Context(
        knowledge(), today, ears.listen, ears.answer, ears.in_passing,
        units=script.get("units", "metric"), seed=script.get("seed", 1), draws=script.get("draws", 100),
    )  # fmt: skip
    case = new_case(str(script["title"]), today, "animals")
    first = _words(opening(case, context))
    turns: list[Replayed] = []
    for told in script["turns"]:
        case, reply, effects = turn(case, told["say"], context)
        acts = case.events[-1].acts if case.events else ()
        facts = [dict(act) for act in acts if holds_facts([act])]
        results = {name: [float(f"{end:.3g}") for end in ends] for name, ends in reply.results.items()}
        done: list[str] = [effect.do for effect in effects]
        turns.append(
            Replayed(told["say"], reply.asks, facts, results, list(reply.sources), done, _words(reply))
        )
    return first, turns


def _words(reply: Reply) -> str:
    return "\n".join(f"{line.role}: {line.text}" for line in reply.lines)


def differences(name: str) -> Iterator[str]:
    """What differs from the approved text, meaning first."""
    script = read(name)
    first, turns = replay(script)
    yield from _diff(f"{name}, opening", script.get("opening", ""), first)
    for number, (told, now) in enumerate(zip(script["turns"], turns, strict=True), 1):
        place = f"{name}, turn {number} ({told['say']!r})"
        for key, value in now.meaning().items():
            approved = told.get(key, type(value)() if value is not None else None)
            if approved != value:
                yield f"{place}: {key} changed\n  approved: {approved}\n  now:      {value}"
        yield from _diff(place, told.get("reply", ""), now.reply)


def _diff(place: str, approved: str, now: str) -> Iterator[str]:
    if approved.strip() != now.strip():
        lines = difflib.unified_diff(
            approved.splitlines(), now.splitlines(), "approved", "now", lineterm="", n=0
        )
        yield f"{place}: wording changed\n" + "\n".join(f"  {line}" for line in lines)


def approve(name: str) -> None:
    """Write what is said now."""
    script = read(name)
    first, turns = replay(script)
    script["opening"] = first
    script["turns"] = []
    for now in turns:
        kept: dict[str, Any] = {"say": now.say, "asks": now.asks}
        kept |= {key: value for key, value in now.meaning().items() if value and key != "asks"}
        script["turns"].append(kept | {"reply": now.reply})
    path = FOLDER / f"{name}.yaml"
    head = [line for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("#")]
    body = yaml.dump(script, Dumper=_Blocks, sort_keys=False, allow_unicode=True, width=1000)
    path.write_text("\n".join([*head, body]), encoding="utf-8")


class _Blocks(yaml.SafeDumper):
    """Many lines as a block, short lists in one line."""


def _text(dumper: yaml.SafeDumper, text: str) -> yaml.ScalarNode:
    style = "|" if "\n" in text else None
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)


def _list(dumper: yaml.SafeDumper, items: list[Any]) -> yaml.SequenceNode:
    flat = all(isinstance(item, str | int | float) for item in items)
    return dumper.represent_sequence("tag:yaml.org,2002:seq", items, flow_style=flat)


_Blocks.add_representer(str, _text)
_Blocks.add_representer(list, _list)


def main(argv: list[str] | None = None) -> int:
    """Replay or approve."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.replay", description="Replay the demo conversations."
    )
    parser.add_argument("names", nargs="*", help="which conversations (all)")
    parser.add_argument("--approve", action="store_true", help="write what is said now as approved")
    options = parser.parse_args(argv)
    wrong = 0
    for name in options.names or names():
        if options.approve:
            approve(name)
            continue
        for difference in differences(name):
            wrong += 1
            print(difference)
    if wrong:
        print(
            f"{wrong} differences. If they are meant: python -m tests.replay --approve, then read the diff."
        )
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
