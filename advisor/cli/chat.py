"""`byrewise chat`: the conversation, on a terminal or on a pipe. Every message is on disk before it is answered."""

from __future__ import annotations

import argparse
import datetime as dt
import gc
import io
import os
import sys
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any, Protocol

from advisor.casebook import Case, Casebook, OpenCase
from advisor.casebook.errors import UnknownCaseError
from advisor.cli.drawing import drawn
from advisor.dialogue.asking import suggestions
from advisor.dialogue.context import Context
from advisor.dialogue.draft import draft_of
from advisor.dialogue.hearing import context_for
from advisor.dialogue.opening import opening
from advisor.dialogue.phrases import sentence
from advisor.dialogue.reply import Effect, Line, Reply
from advisor.plan.wording import Units

__all__ = ["PipeSurface", "Surface", "add_parser", "collect_rarely", "converse", "run"]

DEFAULT_CASE = "farm"
FIRST_QUESTION = "animals"
DRAWS = 200  # enough for ranges to two figures, quick enough for talk


def add_parser(subparsers: Any) -> None:
    """Add `chat`."""
    from advisor.cli.plan import add_clock

    parser = subparsers.add_parser(
        "chat",
        help="talk with the adviser",
        description="Talk with the adviser. Everything is saved as you go; the same name goes on where you were.",
    )
    parser.add_argument("--case", default=DEFAULT_CASE, metavar="NAME", help=f"the case ({DEFAULT_CASE})")
    parser.add_argument("--units", choices=("metric", "us"), help="units to speak in (else the region's)")
    add_clock(parser)
    parser.set_defaults(run=run, draws=DRAWS)


class Surface(Protocol):
    """Where the conversation is shown and typed."""

    def show(self, lines: Iterable[Line]) -> None: ...
    def show_text(self, text: str) -> None: ...
    def ask(
        self, reply: Reply, suggest: Callable[[], tuple[str, ...]], meanwhile: Callable[[], None]
    ) -> str | None:
        """The next message; None at the end of input. `suggest` and `meanwhile` may be run while waiting."""
        ...

    @property
    def width(self) -> int: ...


def run(options: argparse.Namespace) -> int:
    """Hold the conversation: 0 when it ends, 130 after Ctrl-C."""
    from advisor.knowledge import knowledge

    context = context_for(
        knowledge(),
        options.today or dt.date.today(),
        options.units or _usual_units(),
        options.seed,
        options.draws,
    )
    collect_rarely()
    book = Casebook()
    surface: Surface
    if sys.stdin.isatty() and sys.stdout.isatty() and os.environ.get("TERM", "") not in ("", "dumb"):
        from advisor.cli.terminal import TerminalSurface

        surface = TerminalSurface()
    else:
        surface = PipeSurface()
    try:
        book.read(options.case)
    except UnknownCaseError:
        book.create(options.case, context.today, FIRST_QUESTION)
    with book.open(options.case) as held:
        if held.damage:
            surface.show([Line("hint", sentence("damaged", count=len(held.damage)))])
        try:
            converse(held, context, surface)
        except KeyboardInterrupt:
            place = sentence("interrupted", name=held.case.name, path=str(book.path_of(held.case.name)))
            surface.show([Line("answer", place)])
            return 130
    return 0


def collect_rarely() -> None:
    """Leave what was loaded alone: a full sweep of it takes longer than most answers, and frees nothing."""
    gc.freeze()
    gc.set_threshold(50_000, 20, 100)


def converse(held: OpenCase, context: Context, surface: Surface) -> None:
    """Message by message, until the end of input or 'quit'."""
    reply = opening(held.case, context)
    surface.show(reply.lines)
    from advisor.dialogue.turn import think, turn  # only now: the first question is already on the screen

    while True:
        message = surface.ask(
            reply, partial(suggestions, held.case, context), partial(think, held.case, context)
        )
        if message is None:
            surface.show([Line("answer", sentence("goodbye", name=held.case.name))])
            return
        case, reply, effects = turn(held.case, message, context)
        held.keep(case)
        ending = Effect("quit") in effects
        asks = [line for line in reply.lines if line.role in ("question", "choices")]
        if ending or Effect("print") in effects:
            surface.show([line for line in reply.lines if line not in asks])
        else:
            surface.show(reply.lines)
        if Effect("print") in effects:
            _print_plan(case, context, surface)
            surface.show(asks)  # what is asked comes last, where it is seen
        if ending:
            return


def _print_plan(case: Case, context: Context, surface: Surface) -> None:
    """Show the whole plan, make its papers, and say where they are."""
    from dataclasses import replace

    from advisor.casebook.names import file_stem
    from advisor.dialogue.troubles import plan_section
    from advisor.plan.as_json import plan_json
    from advisor.plan.papers import make_papers
    from advisor.plan.render_text import render_text
    from advisor.plan.save import SaveError
    from advisor.plan.words import plan_document

    draft = draft_of(case)
    plan = context.plan(draft)
    if plan is None:
        return
    document = plan_document(plan, context.units_of(draft), identity=case.name)
    found = plan_section(draft, context)
    if found is not None:
        document = replace(document, sections=(found, *document.sections))
    surface.show_text(render_text(document, surface.width))
    name = f"byrewise {file_stem(case.name).rpartition('-')[0] or 'plan'} {context.today}"
    for place in (Path.cwd(), Path.home()):
        try:
            folder, files = make_papers(document, place, name, plan_json(plan))
        except SaveError as fault:
            surface.show([Line("hint", str(fault))])
            continue
        listed = ", ".join(path.name for path in files)
        surface.show([Line("answer", sentence("papers_made", folder=str(folder), files=listed))])
        return


def _usual_units() -> Units:
    """US units where the machine is set up for the United States."""
    place = os.environ.get("LC_ALL") or os.environ.get("LC_MEASUREMENT") or os.environ.get("LANG") or ""
    return "us" if place.startswith("en_US") else "metric"


class PipeSurface:
    """A message a line in, plain text out: no control characters, whatever was typed."""

    width = 78

    def __init__(self) -> None:
        if isinstance(sys.stdin, io.TextIOWrapper):
            sys.stdin.reconfigure(errors="replace")

    def show(self, lines: Iterable[Line]) -> None:
        """Print each paragraph on a line of its own, then an empty line."""
        self.show_text(drawn(lines, None, colour=False) + "\n")

    def show_text(self, text: str) -> None:
        """Print as it is."""
        print(text, flush=True)

    def ask(
        self, reply: Reply, suggest: Callable[[], tuple[str, ...]], meanwhile: Callable[[], None]
    ) -> str | None:
        """The next line."""
        line = sys.stdin.readline()
        return line.rstrip("\r\n") if line else None
