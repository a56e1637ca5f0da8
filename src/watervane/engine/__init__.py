"""The engine: records in, records out."""

from watervane.engine.bring_home import bring_home
from watervane.engine.foretell import foretell
from watervane.engine.hindsight import Hindsight, hindsight
from watervane.engine.mishaps import KINDS as MISHAP_KINDS
from watervane.engine.mishaps import CannotRehearse
from watervane.engine.rehearse import rehearse
from watervane.engine.replay import TooFewDays, replay
from watervane.engine.stored_scores import score_stored

__all__ = [
    "MISHAP_KINDS",
    "CannotRehearse",
    "Hindsight",
    "TooFewDays",
    "bring_home",
    "foretell",
    "hindsight",
    "rehearse",
    "replay",
    "score_stored",
]
