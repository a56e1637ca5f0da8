"""The engine: records in, records out."""

from watervane.engine.foretell import foretell
from watervane.engine.hindsight import Hindsight, hindsight
from watervane.engine.replay import TooFewDays, replay
from watervane.engine.stored_scores import score_stored

__all__ = ["Hindsight", "TooFewDays", "foretell", "hindsight", "replay", "score_stored"]
