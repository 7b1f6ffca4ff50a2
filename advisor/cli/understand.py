"""`byrewise understand`: what the adviser makes of a message, one on the command line or many as JSON lines."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Iterator, Mapping
from typing import IO, Any

__all__ = ["add_parser", "answer_line", "run"]

_MOST_LINE = 1_000_000


def add_parser(subparsers: Any) -> None:
    """Add the `understand` command."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        "understand", help="show what the adviser makes of a message"
    )
    parser.add_argument("message", nargs="?", help="the message, as typed")
    parser.add_argument("--asked", help="the question just asked, in neutral words")
    parser.add_argument("--json", action="store_true", help="print the reading as JSON")
    parser.add_argument("--jsonl", action="store_true", help="read and write one JSON object a line")
    parser.set_defaults(run=run)


class _Understander:
    """The lexicon and phrases, loaded once."""

    def __init__(self) -> None:
        from advisor.knowledge import KnowledgeError, knowledge, knowledge_folder, read_knowledge
        from advisor.language import lexicon
        from advisor.language.replies import read_phrases

        try:
            known = knowledge()
        except (
            KnowledgeError
        ):  # faults elsewhere in the knowledge base must not keep an alarm from being read
            known, _, _ = read_knowledge(knowledge_folder())
        self.lexicon = lexicon(known)
        self.phrases = read_phrases(knowledge_folder() / "phrases")

    def read(
        self, text: str, asked: str | None, before: Mapping[str, Any], name: Any = None
    ) -> dict[str, Any]:
        from advisor.language import understand
        from advisor.language.replies import reply_to

        found = understand(text, asked, before, self.lexicon)
        return {
            "id": name,
            "kind": found.kind,
            "also": list(found.also),
            "act": found.act,
            "about": list(found.about),
            "facts": dict(found.facts),
            "asks_back": list(found.asks_back),
            "queried": list(found.queried),
            "reply": reply_to(found, self.phrases, self.lexicon, asked),
        }


def answer_line(line: str, reader: _Understander) -> dict[str, Any]:
    """The answer to one line, whatever it holds: a line that is no JSON object is read as a message."""
    try:
        given = json.loads(line[:_MOST_LINE])
    except (ValueError, RecursionError):
        given = {"text": line}
    if not isinstance(given, dict):
        given = {"text": line}
    text, asked, before = given.get("text"), given.get("asked"), given.get("before")
    return reader.read(
        text if isinstance(text, str) else "",
        asked if isinstance(asked, str) else None,
        before if isinstance(before, dict) else {},
        given.get("id"),
    )


def _lines(source: IO[str]) -> Iterator[str]:
    for line in source:
        if line.strip():
            yield line.rstrip("\n")


def _serve(lines: Iterable[str], out: IO[str]) -> int:
    reader = _Understander()
    for line in lines:
        out.write(json.dumps(answer_line(line, reader), ensure_ascii=True, allow_nan=False) + "\n")
        out.flush()
    return 0


def run(args: argparse.Namespace) -> int:
    """Run the command; the exit code."""
    if args.jsonl:
        import io

        source = io.TextIOWrapper(sys.stdin.buffer, encoding="utf-8", errors="replace", newline="\n")
        return _serve(_lines(source), sys.stdout)
    if args.message is None:
        print("byrewise understand: give a message, or --jsonl", file=sys.stderr)
        return 2
    found = _Understander().read(args.message, args.asked, {})
    found.pop("id")
    if args.json:
        print(json.dumps(found, indent=2, ensure_ascii=False))
    else:
        print(f"kind: {found['kind']}" + (f" (also {', '.join(found['also'])})" if found["also"] else ""))
        print(f"act: {found['act']}")
        for key, value in found["facts"].items():
            print(f"  {key}: {value}")
        print(found["reply"])
    return 0
