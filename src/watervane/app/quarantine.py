"""A bare tank for newcomers or the sick."""

from __future__ import annotations

from watervane.app.blueprint_ports import Words
from watervane.app.ports import Ports
from watervane.records.quarantine import QuarantinePlan


def quarantine(words: Words, ports: Ports) -> QuarantinePlan:
    """Work a quarantine out of words; no tank and no journal is needed.

    Raises
    ------
    BadInput
        With every reason why it cannot be read, or makes no sense.
    """
    return ports.care.quarantine(words)
