"""The farm as its keeper tells it: the model, and reading it from a file."""

from advisor.farm.model import Farm
from advisor.farm.reading import FarmError, find_id, read_farm, read_farm_text

__all__ = ["Farm", "FarmError", "find_id", "read_farm", "read_farm_text"]
