"""The engine: records in, records out."""

from watervane.engine.bring_home import bring_home
from watervane.engine.carried_tank import CarriedTank, Carrying
from watervane.engine.foretell import foretell
from watervane.engine.hindsight import Hindsight, hindsight
from watervane.engine.kept_arrays import KeptStateError, from_arrays, to_arrays
from watervane.engine.list_limits import list_limits
from watervane.engine.mishaps import KINDS as MISHAP_KINDS
from watervane.engine.mishaps import CannotRehearse
from watervane.engine.rehearse import rehearse
from watervane.engine.replay import TooFewDays, replay
from watervane.engine.stored_scores import score_stored
from watervane.engine.today import today
from watervane.engine.update import Update
from watervane.engine.ways import ways

__all__ = [
    "MISHAP_KINDS",
    "CannotRehearse",
    "CarriedTank",
    "Carrying",
    "Hindsight",
    "KeptStateError",
    "TooFewDays",
    "Update",
    "bring_home",
    "foretell",
    "from_arrays",
    "hindsight",
    "list_limits",
    "rehearse",
    "replay",
    "score_stored",
    "to_arrays",
    "today",
    "ways",
]
