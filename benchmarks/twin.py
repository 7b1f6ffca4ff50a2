"""Twin experiments: hidden winters are simulated, noisy readings fed, and the forecast is held against the truth.

    python benchmarks/twin.py [--seeds 200] [--draws 1000] [--farms A.yaml B.yaml] [--at 0.3 0.7]
                              [--document docs/season.md]

The truth should lie inside the 10 to 90 % range about 80 % of the time, and the ranges should be narrower than
without readings. The truth is drawn from the same knowledge as the forecast's draws, with another seed: this
measures the learning, not the science. All winters of a farm are held against draws of one seed, which spares
making its plan again for each.
"""

from __future__ import annotations

import argparse
import collections
import datetime as dt
import re
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

import numpy as np  # noqa: E402

from advisor.farm import read_farm  # noqa: E402
from advisor.knowledge import knowledge  # noqa: E402
from advisor.plan.make import make_plan  # noqa: E402
from advisor.record.entries import Entry, Record, read_entry  # noqa: E402
from advisor.record.forecast import forecast  # noqa: E402
from tests.record.twin import MEASURED, run_twin  # noqa: E402

DEMO = ROOT / "knowledge" / "demo"


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seeds", type=int, default=200)
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--draws", type=int, default=1000)
    parser.add_argument("--farms", nargs="+", type=Path, default=sorted(DEMO.glob("*.yaml")))
    parser.add_argument("--at", nargs="+", type=float, default=[0.3, 0.7], help="how far into the winter")
    parser.add_argument("--document", type=Path, help="write the table between the marks of this page")
    options = parser.parse_args()
    held = knowledge()
    every: list[bool] = []
    rows: list[str] = []
    print(
        f"{'farm':16} {'at':>4}  {'  '.join(f'{name:>14}' for name in MEASURED)}  {'narrower':>8}  odd  n_eff  s"
    )
    for path in options.farms:
        farm = read_farm(path, held)
        plan = make_plan(farm, held, dt.date(2026, 10, 20), 0)
        names = {supply.key: supply.material for supply in plan.engine.value("supplies")}
        for share in options.at:
            passed = round(share * plan.timeline.days)
            beds: list[Entry] = []
            for day in range(0, passed, 7):
                for pen, materials in plan.decision.rates.items():
                    beds += [
                        read_entry(
                            {"kind": "bedding", "date": plan.timeline.date(day), "pen": pen,
                             "material": names[key], "mass": 7 * rates[0]}
                        )
                        for key, rates in materials.items()
                        if rates[0] > 0
                    ]  # fmt: skip
            plain = forecast(farm, Record.of(beds), held, plan.timeline.date(passed), options.draws, 1)
            began, found = time.perf_counter(), collections.defaultdict(list)
            narrow, odd, effective = [], 0, []
            for seed in range(options.first_seed, options.first_seed + options.seeds):
                twin, _ = run_twin(
                    farm, beds, held, plan.timeline.date(passed), seed, options.draws, plain=plain
                )
                for name, inside in twin.inside.items():
                    found[name.rpartition(":")[2]].append(inside)
                narrow += [
                    twin.width[k] / max(twin.width_before[k], 1e-12)
                    for k in twin.width
                    if k.endswith("depth")
                ]
                odd += bool(twin.odd or twin.disagrees)
                effective.append(twin.effective)
            every += [each for values in found.values() for each in values]
            cells = "  ".join(f"{np.mean(found[name]):14.2f}" for name in MEASURED)
            rows.append(
                f"| {path.stem} | {share:g} | {options.seeds} | "
                + " | ".join(f"{100 * np.mean(found[name]):.0f}" for name in MEASURED)
                + f" | {np.median(narrow):.2f} | {odd} | {np.median(effective):.0f} |"
            )
            took = (time.perf_counter() - began) / options.seeds
            print(
                f"{path.stem[:16]:16} {share:4.1f}  {cells}  {np.median(narrow):8.2f}  {odd:3d}  "
                f"{np.median(effective):5.0f}  {took:.1f}",
                flush=True,
            )
    print(f"inside the 10 to 90 % range: {np.mean(every):.3f} of {len(every)}")
    if options.document:
        _write(options.document, rows, options.draws, float(np.mean(every)))
    return 0 if 0.75 <= np.mean(every) <= 0.87 else 1


def _write(page: Path, rows: list[str], draws: int, inside: float) -> None:
    names = [
        "farm",
        "at",
        "winters",
        *(name.replace("_", " ") for name in MEASURED),
        "narrower",
        "odd",
        "n_eff",
    ]
    table = [f"| {' | '.join(names)} |", "|---" * len(names) + "|", *rows]
    told = f"Inside the range: {100 * inside:.1f} in 100, with {draws} draws."
    text = page.read_text(encoding="utf-8")
    marks = r"(<!-- twins -->\n).*?(<!-- /twins -->)"
    block = "\n".join([*table, "", told, ""])
    page.write_text(re.sub(marks, lambda m: m[1] + block + m[2], text, flags=re.DOTALL), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
