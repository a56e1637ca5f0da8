"""Use cases: an actor asks, ports do the outside work, records come back."""

from watervane.app.pictures import picture_of
from watervane.app.ports import BadInput, Ports, Request, ScoreRequest
from watervane.app.scoring import Scored, score, score_picture_of
from watervane.app.use_cases import Checked, Foretold, check, foretell

__all__ = [
    "BadInput",
    "Checked",
    "Foretold",
    "Ports",
    "Request",
    "ScoreRequest",
    "Scored",
    "check",
    "foretell",
    "picture_of",
    "score",
    "score_picture_of",
]
