"""Use cases: an actor asks, ports do the outside work, records come back."""

from watervane.app.growing import Grown, grow
from watervane.app.growing_ports import (
    ChallengeRequest,
    FillRequest,
    GrowingPorts,
    HeadroomRequest,
)
from watervane.app.homecoming import BroughtHome, bring_home
from watervane.app.keeping import (
    KeptWrite,
    Line,
    OpenedTank,
    add_tank,
    back_up,
    correct,
    edit_tank,
    examine,
    list_tanks,
    open_tank,
    photo_of,
    record,
    restore,
    undo,
)
from watervane.app.listing_limits import Listed, list_limits
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
    "ChallengeRequest",
    "Checked",
    "Compared",
    "FillRequest",
    "Foretold",
    "GrowingPorts",
    "Grown",
    "HeadroomRequest",
    "Judged",
    "KeptWrite",
    "Line",
    "Listed",
    "OpenedTank",
    "Ports",
    "RehearsalRequest",
    "Rehearsed",
    "Request",
    "ScoreRequest",
    "Scored",
    "TodayRequest",
    "WaysRequest",
    "add_tank",
    "back_up",
    "bring_home",
    "check",
    "compare_ways",
    "correct",
    "edit_tank",
    "examine",
    "foretell",
    "grow",
    "list_limits",
    "list_tanks",
    "open_tank",
    "photo_of",
    "picture_of",
    "record",
    "rehearse",
    "restore",
    "score",
    "score_picture_of",
    "today",
    "undo",
]
