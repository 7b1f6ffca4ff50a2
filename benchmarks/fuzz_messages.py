"""Random input through the reader and through whole turns: nothing may come out but a reading or a reply.

python -m benchmarks.fuzz_messages --messages 1000000      the reader alone
python -m benchmarks.fuzz_messages --turns 10000           conversations, a new one every forty turns

A third of the input is random signs, a third runs of farm words and numbers, a third messages of the
development sets with letters lost, doubled, swapped and changed. The same seed gives the same input.
A line is printed every ten thousand messages and at the end; a failure is printed with its input.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import random
import time
import traceback
from pathlib import Path

import yaml

from advisor.casebook import new_case
from advisor.dialogue.hearing import context_for
from advisor.dialogue.turn import turn
from advisor.knowledge import knowledge
from advisor.language import Lexicon, lexicon, understand

TESTS = Path(__file__).resolve().parent.parent / "tests"
SIGNS = "0123456789.,/-'\"x%?!()*+=<>{}[]\\|~^$#@&_;: \t\n½²°–’éæøåß漢🐄\u0000\u200b\u0301\u202e"
TODAY = dt.date(2026, 9, 1)
KNOWN = [
    {},
    {"area_m2": 288, "area_as": "16 m x 18 m", "animals": [{"class": "ewe", "count": 3}]},
    {"materials": [{"name": "straw", "amount": 4, "unit": "bale"}], "start": "11-05", "days": 100},
]


class Input:
    """Messages made up from a seed."""

    def __init__(self, seed: int) -> None:
        self.pick = random.Random(seed)
        lines = (TESTS / "language" / "kinds.txt").read_text(encoding="utf-8").splitlines()
        self.texts = [line for line in lines if line and line[0] not in "[#"]
        for name in ("own", "fresh", "unseen"):
            items = yaml.safe_load((TESTS / "messages" / f"{name}.yaml").read_text(encoding="utf-8"))
            self.texts += [str(item["text"]) for item in items]
        self.words = [word for text in self.texts for word in text.split()]

    def message(self) -> str:
        """One message."""
        pick = self.pick
        what = pick.randrange(3)
        if what == 0:
            letters = SIGNS + "abcdefghijklmnopqrstuvwxyz"
            return "".join(
                chr(pick.randrange(1, 0x3000)) if pick.random() < 0.1 else pick.choice(letters)
                for _ in range(pick.randint(0, 60))
            )
        if what == 1:
            return " ".join(
                pick.choice(self.words)
                if pick.random() < 0.8
                else str(pick.choice((0, -5, 12, 1.5, 10**12, "1/2", "3/4/26", "1.200", "2 x 3", "1e9")))
                for _ in range(pick.randint(0, 12))
            )
        letters_of = list(pick.choice(self.texts))
        for _ in range(pick.randint(0, 6)):
            if letters_of:
                self._slip(letters_of)
        return "".join(letters_of)

    def _slip(self, letters: list[str]) -> None:
        pick = self.pick
        at = pick.randrange(len(letters))
        slip = pick.randrange(5)
        if slip == 0:
            del letters[at]
        elif slip == 1:
            letters.insert(at, letters[at])
        elif slip == 2:
            letters[at] = pick.choice(SIGNS)
        elif slip == 3:
            other = min(at + 1, len(letters) - 1)
            letters[at], letters[other] = letters[other], letters[at]
        else:
            letters[at:at] = " " + pick.choice(self.words) + " "


def read_many(count: int, made: Input, words: Lexicon) -> int:
    """Read that many messages; how many failed."""
    asked = [
        None,
        *(e.words.replace("CLASS", "ewe").replace("MATERIAL", "straw") for e in words.tables.asked.values()),
    ]
    failed, began = 0, time.perf_counter()
    for number in range(1, count + 1):
        text = made.message()
        question, known = made.pick.choice(asked), made.pick.choice(KNOWN)
        try:
            found = understand(text, question, known, words)
            json.dumps(dict(found.facts), allow_nan=False)
        except Exception:
            failed += 1
            print(f"FAILED {text!r} after {question!r}\n{traceback.format_exc()}", flush=True)
        if number % 10_000 == 0 or number == count:
            spent = time.perf_counter() - began
            print(f"{number} messages read in {spent:.0f} s, {failed} failed", flush=True)
    return failed


def turn_many(count: int, made: Input) -> int:
    """Take that many turns, a new conversation every forty; how many failed."""
    context = context_for(knowledge(), TODAY)
    failed, began = 0, time.perf_counter()
    case = new_case("fuzz", TODAY, "animals")
    for number in range(1, count + 1):
        if number % 40 == 0:
            case = new_case("fuzz", TODAY, "animals")
        text = made.message()
        try:
            case, reply, _ = turn(case, text, context)
            assert reply is not None
        except Exception:
            failed += 1
            print(f"FAILED {text!r} after {case.asked!r}\n{traceback.format_exc()}", flush=True)
        if number % 500 == 0 or number == count:
            spent = time.perf_counter() - began
            print(f"{number} turns taken in {spent:.0f} s, {failed} failed", flush=True)
    return failed


def main() -> None:
    """Run what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--messages", type=int, default=0)
    parser.add_argument("--turns", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    made = Input(given.seed)
    failed = read_many(given.messages, made, lexicon(knowledge())) if given.messages else 0
    failed += turn_many(given.turns, made) if given.turns else 0
    raise SystemExit(1 if failed else 0)


if __name__ == "__main__":
    main()
