"""`byrewise mix RECIPE.yaml`: how much of what to mix, and what the mix comes to."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

__all__ = ["add_parser", "run"]


def add_parser(subparsers: Any) -> None:
    """Add `mix`."""
    parser = subparsers.add_parser(
        "mix",
        help="a compost recipe: known and unknown amounts, targets",
        description="Work out a compost recipe: carbon to nitrogen and moisture of a mix, and unknown amounts.",
    )
    parser.add_argument("recipe", metavar="RECIPE.yaml", help="the recipe (- reads standard input)")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="how it is written (text)")
    parser.add_argument("-o", "--output", metavar="PATH", help="file to write (else the screen)")
    parser.add_argument("--force", action="store_true", help="write over a file that is already there")
    parser.add_argument("--units", choices=("metric", "us"), help="units to show (else the recipe's)")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="seed of the draws (1)")
    parser.add_argument(
        "--draws", type=_a_number_of_draws, default=1000, metavar="N", help="number of draws (1000)"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Work it out and write. Refusals are raised; `guarded` gives them their exit code."""
    from advisor.farm.recipe import read_recipe, read_recipe_text
    from advisor.knowledge import knowledge
    from advisor.plan.mix import make_mix

    held = knowledge()
    if options.recipe == "-":
        recipe = read_recipe_text(sys.stdin.read(), held, "standard input")
    else:
        recipe = read_recipe(Path(options.recipe), held)
    if options.units:
        recipe = recipe.model_copy(update={"units": options.units})
    plan = make_mix(recipe, held, options.draws, options.seed)
    if options.format == "json":
        from advisor.plan.mix_json import mix_json

        content = mix_json(plan, held)
    else:
        from advisor.plan.mix_words import mix_text

        content = mix_text(plan, held)
    if options.output:
        from advisor.plan.save import save

        for path in save(Path(options.output), content, overwrite=options.force):
            print(path, file=sys.stderr)
    else:
        sys.stdout.write(content)
    return 0


def _a_number_of_draws(text: str) -> int:
    number = int(text) if text.isdigit() else -1
    if not 0 <= number <= 100_000:
        raise argparse.ArgumentTypeError("must be a whole number from 0 to 100000")
    return number
