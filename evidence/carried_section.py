"""Calibration of members that are carried on from one day's readings to the next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from functools import cache

from evidence.figures import ecdf_picture
from evidence.growth_section import account
from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.sections import RUN_IT, Section
from evidence.shared_targets import (
    CALIBRATION,
    CARRIED_GROWTH,
    GROWTH,
    invented_growth,
    look_for_carried,
)
from watervane.engine.update import CARRY
from watervane.inference.calibration import (
    Judged,
    Placed,
    prior_quantities,
    stratified_truths,
    together,
)
from watervane.inference.fitting import QUICK
from watervane.inference.target import Floats

TRUTHS, MEMBERS, SEED = 128, 500, 31
FIRST_DAYS = 2  # of readings, fitted in one go
TITLE = "Calibration of members carried on"
KEPT = Kept(
    "carried_growth",
    digest(rests_on(GROWTH, CARRIED_GROWTH, CALIBRATION)),
)


def run(*, anew: bool, workers: int) -> None:
    """Carry members through the readings of every truth."""
    KEPT.complete({str(n): n for n in range(TRUTHS)}, _look, anew=anew, workers=workers)


def _look(number: int) -> dict[str, object]:
    truth = _truths()[:, number]
    how = {"first": FIRST_DAYS, "start": QUICK, "effort": CARRY}
    return asdict(look_for_carried(truth, _prior(), MEMBERS, SEED, number, **how))


@cache
def _truths() -> Floats:
    return stratified_truths(invented_growth(emulated=True).unknowns, TRUTHS, SEED)


@cache
def _prior() -> Mapping[str, Floats]:
    return prior_quantities(invented_growth(emulated=True), SEED)


def judged() -> Judged | None:
    """What is kept."""
    found = KEPT.found()
    placed = [Placed(**found[str(n)]) for n in range(TRUTHS) if str(n) in found]
    return together(placed) if placed else None


def section() -> Section:
    """Coverage, ranks and what they cost."""
    found = judged()
    if found is None:
        return Section(TITLE, f"{OPENING}\n\n{RUN_IT}")
    parts = [OPENING, *account("carried through every day of readings", found)]
    parts += [note] if (note := KEPT.note()) else []
    picture = replace(ecdf_picture({"carried on": found.places}), name="ranks_carried")
    return Section(TITLE, "\n\n".join(parts), (picture,))


OPENING = f"""\
The same invented growth, {TRUTHS} truths among {MEMBERS} members, but the readings come day by
day, as a keeper's do: the first {FIRST_DAYS} days are fitted, then each further day weighs the
members, which are moved for at most {CARRY.most_at_end} sweeps before the next day. What an
earlier day left wrong is carried on, so this is where a shortcut would show. Sweeps are those of
all days together."""
