"""Kill -9 a program that is saving messages, at 200 random moments, and count what was lost.

    python benchmarks/kill_casebook.py [--kills 200] [--seed 7] [--home FOLDER]

Ends with 1 where an acknowledged message was lost. A kill shows the order of writes within a running
system; what a power cut does is shown by tests/casebook/test_power_cut.py.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from tests.casebook.killing import kill_again_and_again  # noqa: E402


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--home", type=Path, help="where to keep the case (else a temporary folder)")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        tally = kill_again_and_again(options.home or Path(folder), options.kills, options.seed)
    print(f"kills                      {tally.kills}")
    print(f"messages acknowledged      {tally.acknowledged}")
    print(f"acknowledged and lost      {tally.lost}")
    print(f"kept though not yet told   {tally.kept_beyond}")
    print(f"kills that left a torn end {tally.torn}")
    print(f"other damaged lines        {len(tally.other_damage)}")
    return 1 if tally.lost or tally.other_damage else 0


if __name__ == "__main__":
    sys.exit(main())
