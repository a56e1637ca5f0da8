"""Pick the real parts; each is imported only when it is first used."""

from __future__ import annotations

import sys

# Known to type checkers by its name; importing it takes longer than all else here together,
# and until `main` runs nothing can answer Ctrl-C.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from datetime import datetime
    from pathlib import Path
    from typing import Any

    from watervane.app import (
        Ports,
        RehearsalRequest,
        Request,
        ScoreRequest,
        TodayRequest,
        WaysRequest,
    )
    from watervane.app.ports import MishapKind, Progress, SourceEntry
    from watervane.charts import Picture, ScorePicture
    from watervane.engine import CarriedTank
    from watervane.records import (
        Finding,
        Forecast,
        Homecoming,
        LimitList,
        OwnAnimal,
        Rehearsals,
        Scores,
        Tank,
        Today,
        Trip,
        Ways,
    )
    from watervane.reference import Source


def main() -> None:
    """The command line with the real parts behind it."""
    try:
        import gc

        from watervane.cli import run

        # A command makes few cycles and soon ends: looking for them every 700 objects cost 4 %.
        gc.set_threshold(100_000, 50, 50)
        run(real_ports)
    except KeyboardInterrupt:  # before the command line could take care of it
        sys.stderr.write("Stopped.\n")
        raise SystemExit(130) from None


def real_ports() -> Ports:
    """The parts a real run works with."""
    from functools import partial

    from watervane.app import Ports
    from watervane.bootstrap_animals import animal_ports
    from watervane.bootstrap_blueprint import blueprint_ports
    from watervane.bootstrap_care import care_ports
    from watervane.bootstrap_exchange import exchange_ports
    from watervane.bootstrap_growing import growing_ports
    from watervane.bootstrap_inside import inside_ports
    from watervane.bootstrap_jobs import CarriedOn, job_ports
    from watervane.bootstrap_journal import held_open, journal_ports
    from watervane.bootstrap_kept_members import keep_members, kept_members
    from watervane.bootstrap_web import page_ports

    carried = CarriedOn(keep_members, kept_members)
    return Ports(
        read_tank=_read_tank,
        foretell=_foretell,
        rehearse=_rehearse,
        bring_home=_bring_home,
        today=partial(_today, carried.latest),
        compare_ways=_compare_ways,
        list_limits=_list_limits,
        limits_document=_limits_document,
        ways_document=_ways_document,
        quick_tank=_quick_tank,
        today_document=_today_document,
        mishap_kinds=_mishap_kinds,
        replay=_replay,
        read_forecast=_read_forecast,
        score_stored=_score_stored,
        write_picture=_write_picture,
        write_score_picture=_write_score_picture,
        forecast_document=_forecast_document,
        scores_document=_scores_document,
        rehearsals_document=_rehearsals_document,
        homecoming_document=_homecoming_document,
        tank_file_schema=_tank_file_schema,
        sources=_sources,
        journal=journal_ports(),
        exchange=exchange_ports(),
        growing=growing_ports(),
        animals=animal_ports(),
        blueprint=blueprint_ports(),
        inside=inside_ports(),
        pages=page_ports(real_ports, held_open),
        jobs=job_ports(carried),
        care=care_ports(carried.latest),
    )


def _read_tank(path: Path) -> tuple[Tank, tuple[Finding, ...]]:
    from watervane.app import BadInput
    from watervane.exchange import (
        TankFileErrors,
        read_keeper_log,
        read_tank_file_with_remarks,
    )

    if not path.suffix and not path.exists():
        from watervane.bootstrap_journal import kept_tank

        return kept_tank(str(path))
    try:
        if path.suffix.lower() == ".csv":
            tank, findings = read_keeper_log(path, path.with_suffix(".toml"))
            return tank, tuple(findings)
        return read_tank_file_with_remarks(path)
    except TankFileErrors as error:
        raise BadInput(error.problems, str(path)) from error


def _foretell(
    tank: Tank, request: Request, as_of: datetime | None, progress: Progress | None
) -> Forecast:
    from watervane.bootstrap_warmth import warm_up

    warm_up()
    from watervane.engine import foretell
    from watervane.inference.refresh import DEEP_MEMBERS

    return foretell(
        tank,
        as_of=as_of,
        horizon_days=request.horizon_days,
        members=request.members,
        seed=request.seed,
        accuracy=request.accuracy,
        threads=request.threads,
        progress=progress,
        question=request.question,
        deep_members=DEEP_MEMBERS if request.deep else None,
    )


def _rehearse(
    tank: Tank, request: RehearsalRequest, as_of: datetime | None, progress: Progress | None
) -> Rehearsals:
    from watervane.bootstrap_warmth import warm_up

    warm_up()
    from watervane.app import BadInput
    from watervane.engine import CannotRehearse, rehearse
    from watervane.records import Finding

    try:
        return rehearse(
            tank,
            request.mishaps,
            as_of=as_of,
            horizon_days=request.horizon_days,
            members=request.members,
            seed=request.seed,
            threads=request.threads,
            progress=progress,
        )
    except CannotRehearse as error:
        told = {"kind": error.mishap.kind}
        raise BadInput([Finding(f"mishap-{error.reason}", "problem", told)]) from error


def _today(
    latest: Callable[[str], CarriedTank | None],
    tank: Tank,
    request: TodayRequest,
    as_of: datetime | None,
    progress: Progress | None,
    early: Callable[[Today], None] | None,
) -> Today:
    from watervane.bootstrap_warmth import warm_up

    warm_up()
    from watervane.engine import today

    before = None if request.carried_from is None else latest(request.carried_from)
    return today(
        tank,
        as_of=as_of,
        members=request.members,
        seed=request.seed,
        threads=request.threads,
        allowed=tank.allowed_risk.with_told(request.allowed),
        progress=progress,
        early=early,
        before=None if before is None else before.kept,
    )


def _quick_tank(
    request: TodayRequest, now: datetime, own: Sequence[OwnAnimal] = ()
) -> tuple[Tank, tuple[Finding, ...]]:
    from watervane.app import BadInput
    from watervane.exchange import TankFileErrors, quick_tank

    try:
        told = (request.readings, request.animals, request.volume, request.days_old)
        return quick_tank(now, *told, own=own)
    except TankFileErrors as error:
        from dataclasses import replace

        problems = [replace(problem, line=None) for problem in error.problems]
        raise BadInput(problems) from error


def _today_document(today: Today) -> Mapping[str, Any]:
    from watervane.exchange import today_document

    return today_document(today)


def _compare_ways(
    tank: Tank, request: WaysRequest, as_of: datetime | None, progress: Progress | None
) -> Ways:
    from watervane.bootstrap_warmth import warm_up

    warm_up()
    from watervane.engine import ways

    return ways(
        tank,
        as_of=as_of,
        horizon_days=request.horizon_days,
        members=request.members,
        seed=request.seed,
        threads=request.threads,
        progress=progress,
    )


def _list_limits(tank: Tank, as_of: datetime | None) -> LimitList:
    from watervane.engine import list_limits

    return list_limits(tank, as_of=as_of)


def _limits_document(listed: LimitList) -> Mapping[str, Any]:
    from watervane.exchange import limit_list_document

    return limit_list_document(listed)


def _ways_document(ways: Ways) -> Mapping[str, Any]:
    from watervane.exchange import ways_document

    return ways_document(ways)


def _bring_home(
    tank: Tank, trip: Trip, seed: int, at: datetime, forecast: Forecast | None = None
) -> Homecoming:
    from watervane.engine import bring_home

    return bring_home(tank, trip, seed=seed, at=at, forecast=forecast)


def _homecoming_document(homecoming: Homecoming) -> Mapping[str, Any]:
    from watervane.exchange import homecoming_document

    return homecoming_document(homecoming)


def _mishap_kinds() -> Mapping[str, MishapKind]:
    from watervane.engine import MISHAP_KINDS

    return MISHAP_KINDS


def _rehearsals_document(rehearsals: Rehearsals) -> Mapping[str, Any]:
    from watervane.exchange import rehearsals_document

    return rehearsals_document(rehearsals)


def _replay(tank: Tank, request: ScoreRequest, progress: Progress | None) -> Scores:
    from watervane.app import BadInput
    from watervane.engine import TooFewDays, replay
    from watervane.records import Finding

    try:
        return replay(
            tank,
            every_days=request.every_days,
            members=request.members,
            seed=request.seed,
            threads=request.threads,
            progress=progress,
        )
    except TooFewDays as error:
        told = {"days": error.days}
        raise BadInput([Finding("score-too-few-days", "problem", told)]) from error


def _read_forecast(path: Path) -> Forecast:
    from watervane.app import BadInput
    from watervane.exchange import TankFileErrors, read_forecast_document

    try:
        return read_forecast_document(path)
    except TankFileErrors as error:
        raise BadInput(error.problems) from error


def _score_stored(tank: Tank, stored: Sequence[Forecast]) -> Scores:
    from watervane.engine import score_stored

    return score_stored(tank, stored)


def _scores_document(scores: Scores) -> Mapping[str, Any]:
    from watervane.exchange import scores_document

    return scores_document(scores)


def _write_picture(picture: Picture, path: Path) -> None:
    from watervane.charts import write_picture

    write_picture(picture, path)


def _write_score_picture(picture: ScorePicture, path: Path) -> None:
    from watervane.charts import write_score_picture

    write_score_picture(picture, path)


def _forecast_document(forecast: Forecast) -> Mapping[str, Any]:
    from watervane.exchange import forecast_document

    return forecast_document(forecast)


def _tank_file_schema() -> Mapping[str, Any]:
    from watervane.exchange import tank_file_schema

    return tank_file_schema()


def _remarks(source: Source) -> Iterator[tuple[str, str]]:
    if source.note:
        yield "note", source.note
    if source.background:
        yield "kept", source.background


def _sources() -> Sequence[SourceEntry]:
    from watervane.app.ports import SourceEntry
    from watervane.reference import TABLES, animal_values, load_table, sources

    used: dict[str, list[tuple[str, str]]] = {}
    for name in TABLES:
        for row in load_table(name):
            span = "" if row.low is None else f" ({row.low:g} to {row.high:g})"
            place = f", {row.where}" if row.where else ""
            told = f"{row.value:g}{span} {row.unit}, {row.quality}{place}"
            used.setdefault(row.source, []).append((f"{name}/{row.id}", told))
    for animal in animal_values():
        told = f"{animal.told}, {animal.quality}{f', {animal.where}' if animal.where else ''}"
        place = f"animal_limits/{animal.name}, {animal.quantity}"
        used.setdefault(animal.source, []).append((place, told))
    return [
        SourceEntry(
            found.key,
            found.citation,
            (*_remarks(found), *used.get(found.key, [])),
        )
        for found in sources().values()
    ]
