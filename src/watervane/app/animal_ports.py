"""What the catalogue of animals needs from outside."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from watervane.records import Finding
from watervane.reference import AnimalsWanted, CatalogueAnimal


class OwnReader(Protocol):
    """Read a keeper's own rows; raise ``BadInput`` with every cell that cannot stand."""

    def __call__(self, file: Path) -> tuple[tuple[CatalogueAnimal, ...], tuple[Finding, ...]]: ...


class WantedReader(Protocol):
    """Read a kind and waters in a keeper's words; raise ``BadInput`` where they cannot be read."""

    def __call__(self, kind: str | None, water: Sequence[str]) -> AnimalsWanted: ...


@dataclass(frozen=True, slots=True)
class AnimalPorts:
    """The outside parts of the catalogue."""

    read_own: OwnReader
    read_wanted: WantedReader
    document: Callable[[Sequence[tuple[CatalogueAnimal, str]]], Mapping[str, Any]]
    row: Callable[[CatalogueAnimal], str]
