"""`byrewise ask "question"`: one answer with its sources. Nothing is saved and no case is changed."""

from __future__ import annotations

import argparse
import datetime as dt
import json
import shutil
import sys
from dataclasses import asdict
from typing import Any

__all__ = ["add_parser", "run"]

#: lines that belong to a conversation, not to one answer
_OF_TALK = ("question", "choices", "hint")


def add_parser(subparsers: Any) -> None:
    """Add `ask`."""
    from advisor.cli.plan import add_clock

    parser = subparsers.add_parser(
        "ask",
        help="one question, one answer with its sources",
        description="Ask one thing: a look-up, a calculation, a what-if, or why and how of a saved case's plan.",
    )
    parser.add_argument("question", help='for example "what is the C:N of pea straw"')
    parser.add_argument("--case", metavar="NAME", help="ask about this saved case (it is only read)")
    parser.add_argument("--units", choices=("metric", "us"), help="units to speak in")
    parser.add_argument("--json", action="store_true", help="the answer as JSON")
    add_clock(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Answer. Raises a refusal where the case is not there."""
    from advisor.casebook import Casebook, new_case
    from advisor.cli.drawing import coloured, drawn
    from advisor.dialogue.hearing import context_for
    from advisor.dialogue.turn import turn
    from advisor.knowledge import knowledge

    today = options.today or dt.date.today()
    context = context_for(
        knowledge(), today, options.units or "metric", options.seed, min(options.draws, 1000)
    )
    case = Casebook().read(options.case).case if options.case else new_case("question", today)
    _, reply, _ = turn(case, options.question, context)
    lines = [line for line in reply.lines if line.role not in _OF_TALK]
    if options.json:
        print(
            json.dumps(
                {"question": options.question, "lines": [asdict(line) for line in lines]}, ensure_ascii=False
            )
        )
    else:
        width = min(shutil.get_terminal_size().columns, 78) if sys.stdout.isatty() else None
        print(drawn(lines, width, coloured()))
    return 0
