"""What planning a tank and its water needs from outside, and what is asked of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, Protocol

from watervane.records import Blueprint, Choice, Finding, OwnAnimal, SourcePlan, Tank, Ways
from watervane.reference import CatalogueAnimal

Words = Mapping[str, str | bool | tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class BlueprintRequest:
    """What is planned, in the keeper's words by option; ``tank`` is one that is looked over.

    ``water`` is its source water where that was worked out before; else ``tap`` tells it.
    ``own`` are the ways to start that were run on this very tank; ``own_animals`` are the keeper's
    own rows, where no word names a table of them; ``choice`` tells which of the animals wished for
    can live in it, where that was asked before. ``loose_tap`` is what was told of the tap beside
    its ions, where they contradict each other.
    """

    words: Words = field(default_factory=dict)
    tank: Tank | None = None
    water: SourcePlan | None = None
    own: Ways | None = None
    own_animals: tuple[OwnAnimal, ...] = ()
    choice: Choice | None = None
    loose_tap: tuple[str, ...] = ()


class Planner(Protocol):
    """Work a tank out; raise ``BadInput`` where the words cannot be read or contradict."""

    def __call__(self, request: BlueprintRequest) -> Blueprint: ...


class WaterPlanner(Protocol):
    """Work a source water out; raise ``BadInput`` where the report contradicts itself."""

    def __call__(self, words: Words) -> SourcePlan: ...


class Chooser(Protocol):
    """Choose animals for a tank; raise ``BadInput`` for an animal nobody knows and the like."""

    def __call__(self, words: Words, own: Sequence[CatalogueAnimal]) -> Choice: ...


class TankWriter(Protocol):
    """Write a plan as a tank file ready to start; raise ``BadInput`` where it cannot be."""

    def __call__(
        self, blueprint: Blueprint, filled: date, file: Path, *, over: bool
    ) -> tuple[Finding, ...]: ...


@dataclass(frozen=True, slots=True)
class BlueprintPorts:
    """The outside parts of planning."""

    plan: Planner
    plan_water: WaterPlanner
    write_tank: TankWriter
    choose: Chooser
    plan_chosen: Callable[[Choice, Words], Blueprint]
    choice_document: Callable[[Choice], Mapping[str, Any]]
    tank_of: Callable[[Blueprint, date], Tank]
    tank_text: Callable[[Tank], str]  # as a tank file
    report_texts: Callable[[Path], tuple[str, ...]]  # of a file, as ``tap`` takes them
    warm_up: Callable[[], None]  # loads what is slow to load, so that the first answer is not late
    blueprint_document: Callable[[Blueprint], Mapping[str, Any]]
    source_document: Callable[[SourcePlan], Mapping[str, Any]]
