"""What the readings teach: the draws that explain them, and where they cannot be right.

The readings are let in a part at a time. Each part chooses among the draws; where it would leave few, the rest
waits until the chosen ones have been moved about among what the readings allow. So the range stays made of
many different winters, however many readings there are.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from advisor.reasoning.draws import Draws, Numbers, typical
from advisor.reasoning.engine import Engine
from advisor.record.draws import LearnedDraws, bearable_share, effective_number, resample
from advisor.record.likelihood import Reading
from advisor.record.runs import again

__all__ = ["Learning", "learn"]

_MOVES, _LAST_MOVES = 2, 5  # of the draws in a round, and once all readings are in


@dataclass(frozen=True)
class Learning:
    """What the readings did to the draws."""

    readings: tuple[Reading, ...] = ()  # beside what was expected before any of them
    effective: float = 0.0  # plain draws that carry weight once all readings are weighed
    kept: float = 0.0  # that carried weight where fewest did
    say: float = 1.0  # how much of the readings' say could be let in
    draws: LearnedDraws | None = None
    disagrees: bool = False  # no draw comes near the record
    odd: tuple[tuple[Reading, float], ...] = ()  # readings far from all the rest, with their distance


def learn(engine: Engine, read: Callable[[Engine], tuple[Reading, ...]], seed: int) -> Learning:
    """Weigh every draw by the readings. `read` sets them beside what the draws of an engine expect."""
    found = read(engine)
    count = engine.draws.count
    if not found or count < 2:
        return Learning(found, count, count)
    least = max(2.0, count * typical(engine.value("least_effective_draws")))
    rounds = round(typical(engine.value("learning_rounds")))
    expected, total = _weighed(found, count)
    effective = effective_number(total)
    draws: Draws = engine.draws
    kept, say = float(count), 0.0
    for round_ in range(rounds):
        step = (1.0 - say) * bearable_share((1.0 - say) * total, least)
        kept, say = min(kept, effective_number(step * total)), say + step
        chosen = resample(step * total, seed + round_)
        learned = LearnedDraws.of(draws, chosen)
        expected, total = expected[:, chosen], total[chosen]
        for turn in range(0 if say >= 1.0 and round_ == 0 else _LAST_MOVES if say >= 1.0 else _MOVES):
            luck = np.random.Generator(np.random.PCG64([seed, round_, turn]))
            moved = learned.stir(np.ones(count, bool), _LAST_MOVES * round_ + turn)
            there, then = _weighed(read(again(engine, moved)), count)
            better = np.log(luck.random(count)) < say * (then - total)
            learned = learned.stir(better, moved.round)
            expected, total = np.where(better, there, expected), np.where(better, then, total)
        draws = learned
        if say >= 1.0:
            break
    far = typical(engine.value("reading_disagrees_at"))
    odd = tuple(
        (reading, distance)
        for reading, seen in zip(found, expected, strict=True)
        if abs(distance := reading.distance(seen)) > far
    )
    number = len(found)
    misfit = -2.0 * float(total.max())
    disagrees = misfit > number + far * math.sqrt(2.0 * number) and (number > 1 or bool(odd))
    return Learning(found, effective, kept, min(1.0, say), learned, disagrees, odd)


def _weighed(found: tuple[Reading, ...], count: int) -> tuple[Numbers, Numbers]:
    """What each draw expects of each reading, and the logarithm of how well it explains them all."""
    expected = np.stack([np.broadcast_to(reading.expected, (count + 1,))[1:] for reading in found])
    total = np.zeros(count)
    for reading in found:
        total += np.broadcast_to(reading.log_likelihood, (count + 1,))[1:]
    return expected, total
