"""The engine: records in, records out."""

from watervane.engine.foretell import foretell
from watervane.engine.hindsight import Hindsight, hindsight

__all__ = ["Hindsight", "foretell", "hindsight"]
