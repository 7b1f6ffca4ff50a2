"""Kill a piped chat without warning at random moments; count answered messages that are not on disk.

python -m benchmarks.kill_chat [KILLS]          (200 unless told)
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

from tests.dialogue.test_pipe import kill_once

MESSAGES = (
    "12 cows and 11 calves", "9 m x 12 m", "no, 10 cows", "5 November to 20 April", "undo", "150 days",
    "60 round bales of straw", "Ireland", "hay", "yes", "tractor", "how",
)  # fmt: skip


def main(kills: int) -> int:
    """Kill so many times and tell."""
    answered = lost = 0
    with tempfile.TemporaryDirectory() as folder:
        for number in range(kills):
            missing, told = kill_once(Path(folder), f"case {number}", random.Random(number), MESSAGES)
            answered += told
            lost += missing
    print(f"{kills} kills, {answered} answered messages, {lost} lost")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 200))
