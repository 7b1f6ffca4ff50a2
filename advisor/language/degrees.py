"""Degrees of Fahrenheit in Celsius: plain arithmetic, so that reading a message needs no library of units."""

from __future__ import annotations

__all__ = ["to_celsius"]


def to_celsius(value: float, unit: str) -> float:
    """The temperature in degrees Celsius; `unit` is degC or degF."""
    return (value - 32) / 1.8 if unit == "degF" else value
