"""Targets that the tests use too. They stand beside the tests; `make evidence` needs the repo."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module
from types import ModuleType
from typing import Protocol

from evidence.keeping import PACKAGE, ROOT
from watervane.inference.calibration import Placed, Problem
from watervane.inference.target import Floats, Target

TESTS = ROOT / "tests"
GROWTH = TESTS / "inference" / "invented_growth.py"
CARRIED_GROWTH = TESTS / "inference" / "carried_growth.py"
TEMPERED = TESTS / "inference" / "tempered_targets.py"
SAMPLER = PACKAGE / "inference" / "tempered.py"
CALIBRATION = PACKAGE / "inference" / "calibration.py"
LYNX_HARE = TESTS / "published" / "lynx_hare.py"

Value = Callable[[Floats, Floats], Floats]


class Bent(Target, Protocol):
    """Of two unknowns that the readings tell of, with quadrature."""

    def expected(self, value: Value) -> float:
        """Posterior mean of a value of both."""

    def log_evidence(self) -> float:
        """Log of the mean likelihood under the prior."""


class Pelts(Target, Protocol):
    """The hare and lynx model."""

    def parameters(self, z: Floats) -> Mapping[str, Floats]:
        """What whitened unknowns stand for."""


def invented_growth(*, emulated: bool) -> Problem:
    """The invented two-step growth, with or without surrogates."""
    found: Problem = _module("inference", "invented_growth").Invented(emulated=emulated)
    return found


def long_growth(*, calm: bool, days: int, every: int) -> Problem:
    """The same read for long, by members that know of noise and drift, or that do not."""
    read = tuple(range(every, days + 1, every))
    found: Problem = _module("inference", "invented_growth").Invented(
        days=read, daily=days, calm=calm
    )
    return found


def look_for_carried(
    truth: Floats,
    prior: Mapping[str, Floats],
    members: int,
    seed: int,
    number: int,
    **how: object,
) -> Placed:
    """A truth of the invented growth among members carried on from day to day of readings."""
    module = _module("inference", "carried_growth")
    problem = invented_growth(emulated=True)
    found: Placed = module.look_for_carried(problem, truth, prior, members, seed, number, **how)
    return found


def bent_targets() -> Mapping[str, Bent]:
    """Targets by name whose posterior is bent or has two peaks."""
    module = _module("inference", "tempered_targets")
    return {name: module.Plane(likelihood) for name, likelihood in module.BENT.items()}


def bent_values() -> Mapping[str, Value]:
    """Values by name that are averaged over both unknowns."""
    found: Mapping[str, Value] = _module("inference", "tempered_targets").VALUES
    return found


def lynx_hare() -> tuple[Pelts, Mapping[str, Mapping[str, str]]]:
    """The hare and lynx model, and the rows of its reference by parameter."""
    module = _module("published", "lynx_hare")
    rows = {str(row["parameter"]): row for row in module.rows("reference_posterior.csv")}
    return module.LynxHare(), rows


def _module(folder: str, name: str) -> ModuleType:
    place = str(TESTS / folder)
    if place not in sys.path:
        sys.path.append(place)
    return import_module(name)
