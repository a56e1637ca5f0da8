"""The real parts of growing; what is slow to import is imported when it is first used."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from watervane.app import BadInput, ChallengeRequest, FillRequest, GrowingPorts, HeadroomRequest
from watervane.app.habits import thought_present
from watervane.app.ports import Progress
from watervane.bootstrap_warmth import warm_up
from watervane.records import Challenge, Filling, Finding, Headroom, Tank


def growing_ports() -> GrowingPorts:
    """The parts a real run works with."""
    return GrowingPorts(
        headroom=_headroom,
        challenge=_challenge,
        fill=_fill,
        headroom_document=_headroom_document,
        challenge_document=_challenge_document,
        filling_document=_filling_document,
    )


def _headroom(
    tank: Tank, request: HeadroomRequest, as_of: datetime | None, progress: Progress | None
) -> Headroom:
    warm_up()
    from watervane.engine import headroom

    return headroom.headroom(
        tank,
        species=request.species,
        length_cm=request.length_cm,
        allowed=tank.allowed_risk.with_told(request.allowed),
        weeks_ahead=request.weeks_ahead,
        as_of=as_of,
        members=request.members,
        seed=request.seed,
        threads=request.threads,
        progress=progress,
    )


def _refuse_with_animals(tank: Tank, as_of: datetime | None) -> None:
    """Where somebody lives in the tank, at once: what a fit would take half a minute to say."""
    now = datetime.now(UTC) if as_of is None else as_of
    present = thought_present(event for event in tank.events if event.at <= now)
    if present:
        name, count = next(iter(present.items()))
        told = {"count": count, "species": name}
        raise BadInput([Finding("challenge-animals", "problem", told)])


def _challenge(
    tank: Tank, request: ChallengeRequest, as_of: datetime | None, progress: Progress | None
) -> Challenge:
    _refuse_with_animals(tank, as_of)
    warm_up()
    from watervane.engine import challenge
    from watervane.reference import UnknownNameError

    try:
        return challenge.challenge(
            tank,
            substance_name=request.substance,
            dose_mg_n_per_l=request.dose_mg_n_per_l,
            as_of=as_of,
            members=request.members,
            seed=request.seed,
            threads=request.threads,
            progress=progress,
        )
    except challenge.CannotChallenge as error:
        problem = Finding(f"challenge-{error.reason}", "problem", error.told)
        raise BadInput([problem]) from error
    except UnknownNameError as error:
        told = {"substance": request.substance}
        raise BadInput([Finding("challenge-no-ammonia", "problem", told)]) from error


def _fill(
    tank: Tank, request: FillRequest, as_of: datetime | None, progress: Progress | None
) -> Filling:
    warm_up()
    from watervane.engine import filling

    return filling.fill_tank(
        tank,
        request.wishes,
        quarantine_days=request.quarantine_days,
        allowed=tank.allowed_risk.with_told(request.allowed),
        horizon_days=request.horizon_days,
        members=request.members,
        seed=request.seed,
        threads=request.threads,
        as_of=as_of,
        progress=progress,
    )


def _headroom_document(headroom: Headroom) -> Mapping[str, Any]:
    from watervane.exchange import headroom_json

    return headroom_json.headroom_document(headroom)


def _challenge_document(challenge: Challenge) -> Mapping[str, Any]:
    from watervane.exchange import headroom_json

    return headroom_json.challenge_document(challenge)


def _filling_document(filling: Filling) -> Mapping[str, Any]:
    from watervane.exchange import headroom_json

    return headroom_json.filling_document(filling)
