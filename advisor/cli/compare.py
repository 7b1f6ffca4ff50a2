"""`byrewise compare A B`: any two farms or saved cases side by side, and whether they truly differ."""

from __future__ import annotations

import argparse
import datetime as dt
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.casebook.errors import CasebookError, UnknownCaseError

if TYPE_CHECKING:
    from advisor.farm import Farm
    from advisor.knowledge import Knowledge

__all__ = ["add_parser", "run"]

_FORMATS = ("text", "markdown", "html", "json")


class NeitherError(CasebookError):
    code = "neither"
    text = (
        "There is neither a farm file nor a saved case called '{name}'. 'byrewise case list' shows the cases."
    )


class NobodyError(CasebookError):
    code = "nobody"
    text = (
        "The case '{name}' has no animals with a number yet. Tell me in a conversation which animals will be on "
        "the bedding, and how many; then compare."
    )


def add_parser(subparsers: Any) -> None:
    """Add `compare`."""
    from advisor.cli.plan import add_clock

    parser = subparsers.add_parser(
        "compare",
        help="two farms or saved cases side by side",
        description=(
            "Work out the winter of two farms with the same seed and draws, and show what differs and whether "
            "that is more than chance. Each is a farm file or the name of a saved case; a file is looked for "
            "first. To try a change, copy the file or the case, change the copy, and compare the two."
        ),
    )
    parser.add_argument("a", metavar="A", help="a farm file or the name of a saved case (it is only read)")
    parser.add_argument("b", metavar="B", help="another")
    parser.add_argument("--format", choices=_FORMATS, default="text", help="how it is written (text)")
    parser.add_argument("-o", "--output", metavar="PATH", help="file to write (else the screen)")
    parser.add_argument("--force", action="store_true", help="write over a file that is already there")
    parser.add_argument("--units", choices=("metric", "us"), help="units to show (else those of A)")
    add_clock(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Work out both and write. Refusals are raised; `guarded` gives them their exit code."""
    from advisor.knowledge import knowledge
    from advisor.plan.formats import draw
    from advisor.plan.make import make_plan
    from advisor.plan.save import SaveError, save
    from advisor.plan.side_by_side import comparison_document, comparison_json
    from advisor.plan.words import units_of

    if not 0 <= options.draws <= 100_000:
        raise SaveError(Path("-"), "--draws must lie between 0 and 100000")
    held = knowledge()
    today = options.today or dt.date.today()
    found = [_farm(told, held) for told in (options.a, options.b)]
    a, b = (make_plan(farm, held, today, options.draws, options.seed) for _, farm in found)
    names = _apart((found[0][0], found[1][0]), (options.a, options.b))
    if options.format == "json":
        content: Any = comparison_json(a, b, names)
    else:
        content = draw(comparison_document(a, b, names, options.units or units_of(a)), options.format)
    if options.output:
        for path in save(Path(options.output), content, overwrite=options.force):
            print(path, file=sys.stderr)
    else:
        sys.stdout.write(content if content.endswith("\n") else content + "\n")
    return 0


def _apart(names: tuple[str, str], told: tuple[str, str]) -> tuple[str, str]:
    """Two names that can be told apart: with the file or case where both are called the same."""
    if names[0] != names[1]:
        return names
    return f"{names[0]} ({told[0]})", f"{names[1]} ({told[1]})"


def _farm(told: str, held: Knowledge) -> tuple[str, Farm]:
    """(name to show, farm) of a file, or of a saved case. Raises what is the matter where it is neither."""
    from advisor.casebook import Casebook
    from advisor.dialogue.building import farm_of
    from advisor.dialogue.draft import draft_of
    from advisor.farm import read_farm

    path = Path(told)
    if path.is_file() or path.suffix in (".yaml", ".yml"):
        farm = read_farm(path, held)
        return farm.name or path.name, farm
    try:
        case = Casebook().read(told).case
    except UnknownCaseError as unknown:
        raise NeitherError(name=told) from unknown
    found = farm_of(draft_of(case), held)
    if found is None:
        raise NobodyError(name=case.name)
    return case.name, found
