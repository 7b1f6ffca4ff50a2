"""The register of derivations that the science modules fill."""

from __future__ import annotations

from advisor.reasoning.engine import Derivations

__all__ = ["derive"]

derive = Derivations()
