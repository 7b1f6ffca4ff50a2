"""The whole knowledge base, read from its YAML once for all tests that look into it."""

from __future__ import annotations

from advisor.knowledge import knowledge_folder, read_knowledge

__all__ = ["FAULTS", "KNOWLEDGE"]

KNOWLEDGE, FAULTS, _ = read_knowledge(knowledge_folder())
