"""`byrewise plan FARM.yaml`: the plan for a farm described in a file, no questions asked."""

from __future__ import annotations

import argparse
import datetime as dt
import sys
from pathlib import Path
from typing import Any

__all__ = ["add_clock", "add_parser", "run"]

_FORMATS = ("text", "markdown", "html", "pdf", "json", "ics", "csv")


def a_day(text: str) -> dt.date:
    """A date option."""
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is not a date; write it as 2026-11-05") from None


def add_clock(parser: argparse.ArgumentParser) -> None:
    """Options that fix the clock and the draws."""
    parser.add_argument("--today", type=a_day, metavar="YYYY-MM-DD", help="the day to take as today")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="seed of the draws (1)")
    parser.add_argument("--draws", type=int, default=1000, metavar="N", help="number of draws (1000)")


def add_parser(subparsers: Any) -> None:
    """Add `plan`."""
    parser = subparsers.add_parser(
        "plan",
        help="the plan for a farm described in a file",
        description="Work out the winter plan for a farm described in a file.",
    )
    parser.add_argument("farm", metavar="FARM.yaml", help="the farm (- reads standard input)")
    parser.add_argument("--format", choices=_FORMATS, default="text", help="how it is written (text)")
    parser.add_argument(
        "-o", "--output", metavar="PATH", help="file to write, or folder for csv (else the screen)"
    )
    parser.add_argument("--force", action="store_true", help="write over a file that is already there")
    parser.add_argument(
        "--units", choices=("metric", "us"), help="units to show (else the farm's or region's)"
    )
    parser.add_argument("--trace", action="store_true", help="with json: how each result was worked out")
    add_clock(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Plan and write. Refusals are raised; `guarded` gives them their exit code."""
    from advisor.farm import read_farm, read_farm_text
    from advisor.knowledge import knowledge
    from advisor.plan.make import make_plan
    from advisor.plan.save import SaveError, save

    held = knowledge()
    if options.farm == "-":
        farm = read_farm_text(sys.stdin.read(), held, "standard input")
    else:
        farm = read_farm(Path(options.farm), held)
    if options.format in ("pdf", "csv") and not options.output:
        raise SaveError(Path("-"), f"say where to write the {options.format} with -o PATH")
    if not 0 <= options.draws <= 100_000:
        raise SaveError(Path("-"), "--draws must lie between 0 and 100000")
    with _Progress(options):
        plan = make_plan(farm, held, options.today or dt.date.today(), options.draws, options.seed)
        content = _drawn(plan, options)
    if options.output:
        for path in save(Path(options.output), content, overwrite=options.force):
            print(path, file=sys.stderr)
    elif isinstance(content, bytes):
        sys.stdout.buffer.write(content)
    else:
        sys.stdout.write(content if content.endswith("\n") else content + "\n")
    return 0


def _drawn(plan: Any, options: argparse.Namespace) -> Any:
    if options.format == "json":
        from advisor.plan.as_json import plan_json

        return plan_json(plan, trace=options.trace)
    from advisor.plan.formats import draw
    from advisor.plan.words import plan_document

    return draw(plan_document(plan, options.units), options.format)


class _Progress:
    """A line on the terminal after a second of work; nothing on a pipe."""

    def __init__(self, options: argparse.Namespace) -> None:
        self.shown = sys.stderr is not None and sys.stderr.isatty()
        self.what = options.format

    def __enter__(self) -> None:
        if self.shown:
            import threading

            self.timer = threading.Timer(
                1.0, lambda: print(f"Working out the plan ({self.what}) ...", file=sys.stderr)
            )
            self.timer.daemon = True
            self.timer.start()

    def __exit__(self, *_: object) -> None:
        if self.shown:
            self.timer.cancel()
