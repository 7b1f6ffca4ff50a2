"""`byrewise knowledge`: check the knowledge base, list and show what it holds, write its schemas."""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from advisor.knowledge.base import Knowledge, knowledge, knowledge_folder
from advisor.knowledge.figure import SEEN_WORDS
from advisor.knowledge.models import TOPICS

__all__ = ["add_parser", "run"]


def add_parser(subparsers: Any) -> None:
    """Add `knowledge` and its subcommands. Each sets `run`, which takes the namespace."""
    parser = subparsers.add_parser("knowledge", help="the knowledge base: check, list, show")
    parser.set_defaults(run=run)
    kinds = parser.add_subparsers(dest="knowledge_command", metavar="COMMAND", required=True)

    def command(name: str, help_text: str) -> argparse.ArgumentParser:
        made: argparse.ArgumentParser = kinds.add_parser(name, help=help_text, description=help_text)
        return made

    check = command(
        "check", "Find every fault in the knowledge files, each with its line and how to mend it."
    )
    check.add_argument(
        "--folder", metavar="PATH", type=Path, help="the knowledge folder (else the adviser's own)"
    )
    listing = command("list", "List the topics, or what one of them holds.")
    listing.add_argument("topic", metavar="TOPIC", nargs="?", help=", ".join(TOPICS))
    show = command(
        "show", "Show an entry: values, ranges, evidence, the choice between sources, where it is used."
    )
    show.add_argument("name", metavar="NAME", nargs="+", help="its name, another word for it, or its id")
    schema = command(
        "schema",
        "Write the JSON Schemas by which an editor completes and checks while you type, and the list of ids to keep.",
    )
    schema.add_argument(
        "--folder", metavar="PATH", type=Path, help="the knowledge folder (else the adviser's own)"
    )


def run(namespace: argparse.Namespace) -> int:
    """Do it: 0 done, 1 faults or nothing of that name."""
    return _COMMANDS[namespace.knowledge_command](namespace)


def _check(namespace: argparse.Namespace) -> int:
    from advisor.knowledge.check import check

    checked = check(namespace.folder or knowledge_folder())
    if checked.faults:
        for fault in checked.faults:
            print(fault)
        count = len(checked.faults)
        print(
            f"byrewise: {count} fault{'s' if count > 1 else ''} in {checked.knowledge.folder}",
            file=sys.stderr,
        )
        return 1
    _say_counts(checked.knowledge)
    if checked.unasked:
        print("Told only in a farm file, as no question asks for them:")
        print(
            textwrap.fill(
                ", ".join(checked.unasked), 88, initial_indent="       ", subsequent_indent="       "
            )
        )
    return 0


def _say_counts(held: Knowledge) -> None:
    from advisor.knowledge.subject import figures_in

    print("No faults. The knowledge base holds:")
    seen: Counter[str] = Counter()
    for topic in TOPICS:
        entries = held.topic(topic)
        print(f"{len(entries):6} {topic}")
        seen.update(figure.seen for entry in entries.values() for _, figure in figures_in(entry))
    print("Figures, by how the best evidence of each was seen:")
    for name, meaning in SEEN_WORDS.items():
        print(f"{seen[name]:6} {name}: {meaning}")
    print(f"{sum(seen.values()):6} in all")


def _list(namespace: argparse.Namespace) -> int:
    held = knowledge()
    if namespace.topic is None:
        for topic in TOPICS:
            print(f"{len(held.topic(topic)):6} {topic}")
        return 0
    named = _topic(namespace.topic)
    if named is None:
        print(
            f"byrewise: no topic is called '{namespace.topic}'. There are: {', '.join(TOPICS)}",
            file=sys.stderr,
        )
        return 1
    from advisor.knowledge.showing import name_of

    entries = held.topic(named)
    width = max((len(key) for key in entries), default=0)
    for key, entry in entries.items():
        print(f"{key.ljust(width)}  {name_of(key, entry)}")
    return 0


def _topic(word: str) -> str | None:
    import difflib

    return next(iter(difflib.get_close_matches(word.lower(), TOPICS, 1, 0.75)), None)


def _show(namespace: argparse.Namespace) -> int:
    from advisor.knowledge.showing import find, shown

    asked = " ".join(namespace.name)
    held = knowledge()
    found, near = find(held, asked)
    if not found:
        hint = (
            f" Did you mean: {', '.join(near)}?" if near else " `byrewise knowledge list` shows the topics."
        )
        print(f"byrewise: nothing is called '{asked}'.{hint}", file=sys.stderr)
        return 1
    print("\n\n".join(shown(held, topic, key) for topic, key in found))
    return 0


def _schema(namespace: argparse.Namespace) -> int:
    from advisor.knowledge.base import read_knowledge
    from advisor.knowledge.schema import write_ids, write_schemas

    folder = namespace.folder or knowledge_folder()
    for path in (*write_schemas(folder), write_ids(folder, read_knowledge(folder)[0])):
        print(path)
    return 0


_COMMANDS: dict[str, Callable[[argparse.Namespace], int]] = {
    "check": _check,
    "list": _list,
    "show": _show,
    "schema": _schema,
}
