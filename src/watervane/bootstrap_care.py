"""The real parts of first aid and printed sheets; what is slow is imported when it is used."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from watervane.app import BadInput
from watervane.app.blueprint_ports import Words
from watervane.app.care_ports import AidQuestions, CarePorts, CareRequest, TroubleQuestions
from watervane.app.resettling import MoveRequest
from watervane.bootstrap_warmth import warm_up
from watervane.records import Finding, Forecast, Tank
from watervane.records.care import CareSchedule
from watervane.records.doses import DosedAnimal, DoseSheet
from watervane.records.first_aid import AidAnswers, FirstAid
from watervane.records.quarantine import QuarantinePlan
from watervane.records.resettling import Resettling
from watervane.records.trouble import Trouble
from watervane.records.watching import Foretold, Watch
from watervane.report import Sheet

if TYPE_CHECKING:
    from watervane.engine import CarriedTank

# What a form asks for; words may tell more.
TROUBLE_READINGS = (
    *("ammonia", "nitrite", "nitrate", "ph", "kh", "gh"),
    *("temperature", "chlorine", "oxygen", "co2"),
)


Latest = Callable[[str], "CarriedTank | None"]


def _none(key: str) -> None:
    """No tank was foretold in this process."""
    del key


def care_ports(latest: Latest = _none) -> CarePorts:
    """The parts a real run helps with; ``latest`` knows tanks as their last forecast left them."""
    return CarePorts(
        questions=_questions,
        read_answers=_read_answers,
        first_aid=_first_aid,
        first_aid_document=_document,
        sheet_pdf=_pdf,
        trouble_questions=_trouble_questions,
        trouble=_trouble,
        trouble_document=_trouble_document,
        dose=_dose,
        dose_document=_dose_document,
        quarantine=_quarantine,
        quarantine_document=_quarantine_document,
        resettle=partial(_resettle, latest),
        resettling_document=_resettling_document,
        watch=_watch,
        watch_document=_watch_document,
        write_file=_write,
        schedule=partial(_schedule, latest),
        schedule_document=_schedule_document,
    )


def _questions() -> AidQuestions:
    from watervane.reference.first_aid import aid_tables

    tables = aid_tables()
    return AidQuestions(tables.seen, tables.done, tables.levels)


def _read_answers(see: str, done: Sequence[str], tests: Sequence[str]) -> AidAnswers:
    from watervane.exchange import TankFileErrors
    from watervane.exchange.aid_words import read_aid_words

    try:
        return read_aid_words(see, done, tests)
    except TankFileErrors as error:
        raise BadInput(error.problems) from error


def _first_aid(answers: AidAnswers) -> FirstAid:
    from watervane.advice.first_aid import first_aid

    return first_aid(answers)


def _document(told: FirstAid) -> Mapping[str, Any]:
    from watervane.exchange import aid_json

    return aid_json.first_aid_document(told)


def _trouble_questions() -> TroubleQuestions:
    from watervane.reference.trouble import LOOKS, trouble_tables

    tables = trouble_tables()
    signs = {
        look: tuple(key for key, sign in tables.signs.items() if sign.look == look)
        for look in LOOKS
    }
    return TroubleQuestions(signs, tables.who, tables.since, tables.done, TROUBLE_READINGS)


def _trouble(
    words: Words, tank: Tank | None, at: datetime, forecast: Forecast | None = None
) -> Trouble:
    from watervane.advice.trouble import find_trouble
    from watervane.advice.trouble_alarms import with_alarms
    from watervane.advice.trouble_foretold import with_forecast
    from watervane.exchange import TankFileErrors
    from watervane.exchange.trouble_words import read_trouble_words, tank_of_words

    try:
        answers = read_trouble_words(words, tank, at)
        found = find_trouble(with_forecast(answers, forecast, at) if forecast else answers)
        return with_alarms(found, tank or tank_of_words(words, at), at, measured=tank is not None)
    except TankFileErrors as error:
        raise BadInput(error.problems) from error


def _trouble_document(found: Trouble) -> Mapping[str, Any]:
    from watervane.exchange import trouble_json

    return trouble_json.trouble_document(found)


def _dose(words: Words, tank: Tank | None) -> DoseSheet:
    from watervane.advice.dosing import CannotDose, dose_sheet, named
    from watervane.advice.logged_doses import logged_dose
    from watervane.exchange import TankFileErrors
    from watervane.exchange.dose_words import read_dose_words

    try:
        substance = str(words.get("substance", "")).strip()
        if substance:
            named(substance)  # what is not dosed needs no label
        if tank is None:
            return dose_sheet(read_dose_words(words))
        logged = logged_dose(tank, substance, datetime.now(UTC)) if substance else None
        told = read_dose_words(words, *_of_tank(tank), tank.own_animals, logged)
        return dose_sheet(told)
    except (CannotDose, TankFileErrors) as error:
        raise BadInput(error.problems) from error


def _of_tank(tank: Tank) -> tuple[float, tuple[DosedAnimal, ...]]:
    """Net volume, and the animals that are in at the end of the log."""
    from watervane.process.geometry import water_body
    from watervane.records import AnimalsIn, AnimalsOut, Died

    counts: dict[str, int] = {}
    lengths: dict[str, float | None] = {}
    for event in tank.events:
        if isinstance(event, AnimalsIn):
            counts[event.species] = counts.get(event.species, 0) + event.count
            lengths[event.species] = event.length_cm
        elif isinstance(event, AnimalsOut | Died):
            counts[event.species] = counts.get(event.species, 0) - event.count
    present = {species: count for species, count in counts.items() if count > 0}
    animals = tuple(DosedAnimal(name, count, lengths[name]) for name, count in present.items())
    return water_body(tank)[0].volume_l, animals


def _dose_document(sheet: DoseSheet) -> Mapping[str, Any]:
    from watervane.exchange import dose_json

    return dose_json.dose_document(sheet)


def _quarantine(words: Words) -> QuarantinePlan:
    from watervane.advice.quarantine import CannotQuarantine, quarantine_plan
    from watervane.exchange import TankFileErrors
    from watervane.exchange.quarantine_words import read_quarantine_words

    try:
        return quarantine_plan(read_quarantine_words(words))
    except (CannotQuarantine, TankFileErrors) as error:
        raise BadInput(error.problems) from error


def _quarantine_document(plan: QuarantinePlan) -> Mapping[str, Any]:
    from watervane.exchange import quarantine_json

    return quarantine_json.quarantine_document(plan)


def _carried(
    latest: Latest,
    request: CareRequest | MoveRequest,
    tank: Tank,
    as_of: datetime | None,
    progress: Callable[[str, float], None] | None,
) -> CarriedTank | None:
    """Members of the last forecast that know of every reading; ``None`` where there are none."""
    before = None if request.carried_from is None else latest(request.carried_from)
    if before is None:
        return None
    from watervane.engine import stage

    return stage.carried_now(tank, before, as_of=as_of, threads=request.threads, progress=progress)


def _resettle(
    latest: Latest,
    tank: Tank,
    request: MoveRequest,
    as_of: datetime | None,
    progress: Callable[[str, float], None] | None,
) -> Resettling:
    warm_up()
    from watervane.engine import resettle
    from watervane.planning.carrying_media import CannotResettle

    try:
        return resettle.resettle(
            tank,
            request.move,
            _carried(latest, request, tank, as_of, progress),
            as_of=as_of,
            horizon_days=request.horizon_days,
            members=request.members,
            seed=request.seed,
            threads=request.threads,
            progress=progress,
        )
    except CannotResettle as error:
        raise BadInput(error.problems) from error


def _resettling_document(found: Resettling) -> Mapping[str, Any]:
    from watervane.exchange import resettling_json

    return resettling_json.resettling_document(found)


def _watch(tank: Tank, told: Sequence[Foretold], now: datetime) -> Watch:
    from watervane.engine import watching

    return watching.watch(tank, told, now)


def _watch_document(watch: Watch) -> Mapping[str, Any]:
    from watervane.exchange import watch_json

    return watch_json.watch_document(watch)


def _schedule(
    latest: Latest,
    tank: Tank,
    request: CareRequest,
    as_of: datetime | None,
    progress: Callable[[str, float], None] | None,
) -> CareSchedule:
    warm_up()
    from watervane.engine import care

    return care.care(
        tank,
        _carried(latest, request, tank, as_of, progress),
        as_of=as_of,
        members=request.members,
        seed=request.seed,
        threads=request.threads,
        progress=progress,
    )


def _schedule_document(schedule: CareSchedule) -> Mapping[str, Any]:
    from watervane.exchange import care_json

    return care_json.care_document(schedule)


def _pdf(sheet: Sheet) -> bytes:
    from watervane.report import sheet_pdf

    return sheet_pdf(sheet)


def _write(file: Path, data: bytes) -> None:
    try:
        file.write_bytes(data)
    except OSError as error:
        told = {"file": str(file), "why": error.strerror or str(error)}
        raise BadInput([Finding("export-unwritten", "problem", told)]) from error
