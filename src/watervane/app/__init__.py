"""Use cases: an actor asks, ports do the outside work, records come back."""

from watervane.app.homecoming import BroughtHome, bring_home
from watervane.app.pictures import picture_of
from watervane.app.ports import (
    BadInput,
    Ports,
    RehearsalRequest,
    Request,
    ScoreRequest,
    TodayRequest,
    WaysRequest,
)
from watervane.app.rehearsing import Rehearsed, rehearse
from watervane.app.scoring import Scored, score, score_picture_of
from watervane.app.today import Judged, today
from watervane.app.use_cases import Checked, Foretold, check, foretell
from watervane.app.ways import Compared, compare_ways

__all__ = [
    "BadInput",
    "BroughtHome",
    "Checked",
    "Compared",
    "Foretold",
    "Judged",
    "Ports",
    "RehearsalRequest",
    "Rehearsed",
    "Request",
    "ScoreRequest",
    "Scored",
    "TodayRequest",
    "WaysRequest",
    "bring_home",
    "check",
    "compare_ways",
    "foretell",
    "picture_of",
    "rehearse",
    "score",
    "score_picture_of",
    "today",
]
