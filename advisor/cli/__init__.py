"""The command line: `byrewise COMMAND ...`. Only the command that is asked for is imported."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module

from advisor import __version__

__all__ = ["COMMANDS", "main", "parser"]

#: command -> (its module, what it is for)
COMMANDS: dict[str, tuple[str, str]] = {
    "chat": ("advisor.cli.chat", "talk with the adviser (this is what no command does)"),
    "plan": ("advisor.cli.plan", "the plan for a farm described in a file"),
    "compare": ("advisor.cli.compare", "two farms or saved cases side by side"),
    "ask": ("advisor.cli.ask", "one question, one answer with its sources"),
    "diagnose": ("advisor.cli.diagnose", "what is wrong with the pack, and what to do today"),
    "season": ("advisor.cli.season", "the record of a winter and its forecast"),
    "mix": ("advisor.cli.mix", "a compost recipe: known and unknown amounts, targets"),
    "case": ("advisor.cli.case", "the saved cases: list, show, copy, export and so on"),
    "knowledge": ("advisor.cli.knowledge", "the knowledge base: check, list, show"),
    "understand": ("advisor.cli.understand", "what the adviser makes of a message"),
}

_EXAMPLES = """examples:
  byrewise                                  talk with the adviser
  byrewise plan farm.yaml                   the plan for a farm in a file
  byrewise plan farm.yaml --format pdf -o plan.pdf
  byrewise compare farm.yaml other.yaml     what differs between two farms or cases
  byrewise knowledge show "barley straw"    what it knows, and who says so
"""


def parser(command: str | None = None) -> argparse.ArgumentParser:
    """The parser; with a command, only that one's module is imported and its options are added."""
    found = argparse.ArgumentParser(
        prog="byrewise",
        description="An adviser for wintering livestock on deep bedding.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    found.add_argument("--version", action="version", version=f"byrewise {__version__}")
    subparsers = found.add_subparsers(dest="command", metavar="COMMAND")
    for name, (module, purpose) in COMMANDS.items():
        if name == command:
            import_module(module).add_parser(subparsers)
        else:
            subparsers.add_parser(name, help=purpose)
    return found


def main(argv: Sequence[str] | None = None) -> None:
    """Run the command line and exit with its code."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    command = next((word for word in arguments if not word.startswith("-")), None)
    if command is None and not {"-h", "--help", "--version"} & set(arguments):
        arguments.insert(0, "chat")
        command = "chat"
    from advisor.cli.errors import guarded

    reader = parser(command if command in COMMANDS else None)
    namespace, left = reader.parse_known_args(arguments)
    if left and not (hasattr(namespace, "what") and all(not word.startswith("-") for word in left)):
        reader.error(f"unrecognized arguments: {' '.join(left)}")
    if left:  # words after an option: the standard parser takes only those before it
        namespace.what = [*namespace.what, *left]
    sys.exit(guarded(lambda: int(namespace.run(namespace))))
