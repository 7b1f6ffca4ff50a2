"""Kill a program that is saving, again and again, and look for what it had acknowledged."""

from __future__ import annotations

import datetime as dt
import os
import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from advisor.casebook import Casebook
from advisor.casebook.log import Damage

__all__ = ["NAME", "Tally", "kill_again_and_again"]

NAME = "Killed byre"

# Saves one message after the other and acknowledges each on its standard output once it is kept.
WORKER = """
import datetime as dt, os, sys
from pathlib import Path
from advisor.casebook import Casebook, append
from advisor.casebook.errors import NameTakenError
book, day = Casebook(Path(sys.argv[1])), dt.date(2026, 10, 4)
try:
    book.create(sys.argv[2], day)
except NameTakenError:
    pass
with book.open(sys.argv[2]) as held:
    os.write(1, b"open\\n")
    while True:
        message = f"run {sys.argv[3]}, message {held.case.next_number} " + "x" * (held.case.next_number % 97)
        held.keep(append(held.case, day, message, [{"words": message}]))
        os.write(1, message.encode() + b"\\n")
"""


@dataclass
class Tally:
    """What the kills came to."""

    kills: int = 0
    acknowledged: int = 0
    kept_beyond: int = 0
    torn: int = 0
    lost: int = 0
    other_damage: tuple[Damage, ...] = ()


def kill_again_and_again(home: Path, kills: int, seed: int) -> Tally:
    """Start the worker and kill -9 it at a random moment, so many times, all on the one case."""
    luck = random.Random(seed)
    tally, promised = Tally(), []
    for run in range(kills):
        command = [sys.executable, "-c", WORKER, str(home), NAME, str(run)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as worker:
            assert worker.stdout is not None
            if luck.random() < 0.8:  # else it may die while starting, before it has opened the case
                first = worker.stdout.readline()
                assert first == b"open\n", "a killed window must not keep the case locked"
                time.sleep(luck.random() * 0.03)
            else:
                time.sleep(luck.random() * 0.15)
            os.kill(worker.pid, signal.SIGKILL)
            said = worker.stdout.read().decode().splitlines()
        promised += [line for line in said if line != "open"]
        tally.kills += 1
        if not any(entry.case for entry in Casebook(home).entries()):
            assert not promised
            continue
        log = Casebook(home).read(NAME)
        kept = [event.message for event in log.case.events]
        tally.torn += any(damage.torn for damage in log.damage)
        tally.other_damage += tuple(damage for damage in log.damage if not damage.torn)
        tally.lost += len(set(promised) - set(kept))
        tally.kept_beyond = len(kept) - len(promised)
        assert log.case.created == dt.date(2026, 10, 4)
    tally.acknowledged = len(promised)
    return tally
