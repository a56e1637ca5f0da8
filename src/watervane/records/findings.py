"""A finding: a message key with arguments; sentences are made by ``wording`` only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Finding:
    """Something worth telling the keeper.

    ``severity`` is one of ``info``, ``caution``, ``problem``; ``line`` is the line
    of the tank file it concerns, ``source`` a key of the sources table.
    """

    key: str
    severity: str = "info"
    arguments: Mapping[str, object] = field(default_factory=dict)
    line: int | None = None
    source: str | None = None
