"""Seeded draws: a figure's low, value and high turned into many possible values.

Every array holds the typical value first (index 0) and then `count` draws, so one pass through the
formulas gives the typical answer and its range. A name always gets the same draws for a seed,
whatever the order of asking: answers can be compared, and order never changes a plan.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

__all__ = ["Draws", "Numbers", "spread", "typical"]

Numbers = NDArray[np.float64]


@dataclass
class Draws:
    """`count` draws from a seed; zero draws leaves only the typical value."""

    count: int = 1000
    seed: int = 1

    def triangular(self, name: str, low: float, value: float, high: float) -> Numbers | float:
        """Draws between low and high, most likely at value; a plain number where there is no range."""
        if low == high or self.count == 0:
            return value
        return np.concatenate(([value], _triangular(self.even(name), low, value, high)))

    def even(self, name: str) -> Numbers:
        """The draws of a name between 0 and 1, not to be written into; learned draws choose among them."""
        return _even(name, self.count, self.seed)


@lru_cache(maxsize=1024)  # one plan's worth and more: the plans of a conversation ask for the same again
def _even(name: str, count: int, seed: int) -> Numbers:
    """Stratified draws between 0 and 1, the same for the same name and seed; not to be written into."""
    digest = hashlib.blake2b(f"{seed}:{name}".encode(), digest_size=8).digest()
    generator = np.random.Generator(np.random.PCG64(int.from_bytes(digest, "little")))
    even: Numbers = (generator.permutation(count) + generator.random(count)) / count
    even.flags.writeable = False
    return even


def _triangular(u: Numbers, low: float, mode: float, high: float) -> Numbers:
    """Inverse of the triangular distribution function at `u`."""
    width = high - low
    turn = (mode - low) / width
    rising = low + np.sqrt(u * width * (mode - low))
    falling = high - np.sqrt((1 - u) * width * (high - mode))
    return np.where(u < turn, rising, falling)


def typical(value: Numbers | float) -> float:
    """The typical value of an array of draws, or the number itself."""
    return float(value[0]) if isinstance(value, np.ndarray) else float(value)


def spread(value: Numbers | float) -> tuple[float, float, float]:
    """(10th percentile, median, 90th percentile) of the draws."""
    if not isinstance(value, np.ndarray) or value.size < 2:
        number = typical(value)
        return number, number, number
    drawn = value[..., 1:] if value.shape[-1] > 1 else value
    # As np.percentile does it, at a tenth of its cost: a plan asks a hundred times.
    ordered = np.sort(drawn, axis=None)
    places = np.array([0.1, 0.5, 0.9]) * (ordered.size - 1)
    below = places.astype(int)
    above = np.minimum(below + 1, ordered.size - 1)
    low, middle, high = ordered[below] + (places - below) * (ordered[above] - ordered[below])
    return float(low), float(middle), float(high)
