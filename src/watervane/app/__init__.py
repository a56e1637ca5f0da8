"""Use cases: an actor asks, ports do the outside work, records come back."""

from watervane.app.pictures import picture_of
from watervane.app.ports import BadInput, Ports, Request
from watervane.app.use_cases import Checked, Foretold, check, foretell

__all__ = [
    "BadInput",
    "Checked",
    "Foretold",
    "Ports",
    "Request",
    "check",
    "foretell",
    "picture_of",
]
