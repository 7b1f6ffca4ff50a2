"""What the adviser knows: figures with their evidence, read from YAML and checked."""

from advisor.knowledge.base import Knowledge, KnowledgeError, knowledge, knowledge_folder, read_knowledge
from advisor.knowledge.figure import SEEN_WORDS, Evidence, Figure
from advisor.knowledge.models import AnimalClass, Caution, Material, Question, Region, Rule, Source
from advisor.knowledge.yaml_text import Fault, Place

__all__ = [
    "SEEN_WORDS",
    "AnimalClass",
    "Caution",
    "Evidence",
    "Fault",
    "Figure",
    "Knowledge",
    "KnowledgeError",
    "Material",
    "Place",
    "Question",
    "Region",
    "Rule",
    "Source",
    "knowledge",
    "knowledge_folder",
    "read_knowledge",
]
