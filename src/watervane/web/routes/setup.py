"""Set up a tank: a few questions, or a file that tells all of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import BadInput, KeptWrite, Line
from watervane.app.doubting import BadLines, Doubted
from watervane.app.planning_pages import known_taps
from watervane.app.recording import understood
from watervane.app.setting_up import NAME_AWAY, NAME_FREED, described, set_up_tank, take_over_tank
from watervane.records import Finding, Tank
from watervane.web.desk import AtDesk, Desk
from watervane.web.forms import filled_in, setup, started
from watervane.web.forms.fields import Field, Told
from watervane.web.forms.filling import Filling
from watervane.web.forms.sure import SURE, sure_field, sure_of
from watervane.web.forms.table import told_fields
from watervane.web.sent import AsSent, Sent, new_request
from watervane.web.setup_table import (
    TableSent,
    TableShown,
    laid_down,
    shown_table,
    table_sent,
)
from watervane.wording import phrase

routes = APIRouter()
FILE = "file"
LONG_AGO = Filling("1970-01-01")  # before anything that may stand in a log


@routes.get("/new")
def ask_for_tank(request: Request, desk: AtDesk) -> Response:
    """The questions of day one."""
    fields, taps = setup.all_fields(), known_taps(desk.actor, desk.ports)
    if len(taps) != 1:  # which of several is this one's, nobody knows
        return _form(request, desk, fields, {}, new_request())
    fields, (name, *_) = setup.with_tap(fields, taps[0].water), taps[0].tanks
    return _form(request, desk, fields, {}, new_request(), tap_of=name)


@routes.post("/new")
def add_tank(request: Request, desk: AtDesk, sent: AsSent) -> Response:
    """The tank with its first animals and readings, or the form again with what is wrong."""
    table, today = table_sent(sent, desk.ports), _today(desk)
    wrong = setup.missing(sent.typed)
    asked: tuple[Field, ...] = ()
    shown: TableShown | None = None
    told: list[Told] = []
    try:
        name = sent.typed.get("name", "").strip() or phrase("setup-unnamed")
        filled = setup.filling(sent.typed, today)
        tank, words = _described(desk, sent, name, filled)
        shown = shown_table(table, tank, desk.ports) if table.told else None
        if shown is not None and not filled.known:
            filled = setup.filling(sent.typed, today, shown.first)
            tank, words = _described(desk, sent, name, filled)
        told = setup.lines(sent.typed, filled.date, today)
        if not wrong and (
            shown is None or (shown.clear and table.seen and not _before(shown, tank))
        ):
            kept = _kept(desk, sent, (name, words, [each.line for each in told]), table)
            return RedirectResponse(f"/tank/{kept.receipt.tank}?begun=1", 303)
        wrong |= _before(shown, tank)
    except BadLines as error:
        for index, findings in error.by_line.items():
            for finding in findings:
                wrong.setdefault(told[index].field_of(finding), []).append(finding)
        if isinstance(error, Doubted):
            asked = (sure_field(error),)
            for finding in error.of_tank:
                wrong.setdefault(setup.field_of(finding), []).append(finding)
    except BadInput as error:
        for finding in error.problems:
            field = setup.field_of(finding)
            if field not in wrong:  # that the day is missing was said before
                wrong.setdefault(field, []).append(finding)
        wrong |= {} if told else _wrong_lines(desk, sent, today)
    fields = (*filled_in(setup.all_fields(), sent.typed, wrong), *asked)
    return _form(request, desk, fields, wrong, sent.request, table, shown)


def _wrong_lines(desk: Desk, sent: Sent, today: date) -> dict[str, list[Finding]]:
    """What is wrong with animals and start where the tank itself is not understood yet."""
    words = setup.words({}, desk.ports.pages.time_zone(), LONG_AGO)
    told = setup.lines(sent.typed, today, today)
    wrong: dict[str, list[Finding]] = {}
    try:
        tank = described(phrase("setup-unnamed"), words, desk.ports)
        understood([each.line for each in told], tank, desk.ports)
    except BadLines as error:
        for index, findings in error.by_line.items():
            for finding in findings:
                wrong.setdefault(told[index].field_of(finding), []).append(finding)
    return wrong


def _described(desk: Desk, sent: Sent, name: str, filled: Filling) -> tuple[Tank, list[str]]:
    words = setup.words(sent.typed, desk.ports.pages.time_zone(), filled)
    return described(name, words, desk.ports), words


def _kept(
    desk: Desk, sent: Sent, told: tuple[str, list[str], list[Line]], table: TableSent
) -> KeptWrite:
    sure = sure_of(sent.typed)
    if not table.told:
        return set_up_tank(desk.actor, *told, desk.ports, sent.request, sure=sure)
    with laid_down(table) as rows:
        return set_up_tank(desk.actor, *told, desk.ports, sent.request, rows, sure)


def _before(shown: TableShown | None, tank: Tank) -> dict[str, list[Finding]]:
    """What is wrong with a day of filling after the first that the table tells of."""
    if shown is None or shown.first is None or shown.first >= tank.filled:
        return {}
    return {"filled": [Finding("setup-table-before", "problem", {"first": f"{shown.first}"})]}


@routes.post("/new/file")
def take_over(request: Request, desk: AtDesk, sent: AsSent) -> Response:
    """A tank with its whole log from a file, or every problem with its line.

    A table tells of no tank: it is taken to the questions.
    """
    files = sent.files.get(FILE, ())
    wrong: Sequence[Finding] = (Finding("setup-no-file", "problem", {}),)
    if files:
        try:
            if desk.ports.exchange.sort_of(files[0]) == "table":
                return _beside_the_questions(request, desk, table_sent(sent, desk.ports, FILE))
            kept = take_over_tank(desk.actor, files[0], desk.ports, sent.request)
            return RedirectResponse(f"/tank/{kept.receipt.tank}?begun=1", 303)
        except BadInput as error:
            wrong = error.problems
    return _form(request, desk, setup.all_fields(), {FILE: wrong}, new_request())


def _beside_the_questions(request: Request, desk: Desk, table: TableSent) -> Response:
    """The questions with a table beside them, filled by the first day it tells of."""
    today = _today(desk)
    words = setup.words({}, desk.ports.pages.time_zone(), Filling(f"{today}"))
    tank = described(phrase("setup-unnamed"), words, desk.ports)
    shown = shown_table(table, tank, desk.ports)
    fields = setup.all_fields(shown.first)
    return _form(request, desk, fields, {}, new_request(), table, shown)


def _today(desk: Desk) -> date:
    return desk.ports.journal.now().astimezone(ZoneInfo(desk.ports.pages.time_zone())).date()


def _form(
    request: Request,
    desk: Desk,
    fields: Sequence[Field],
    wrong: Mapping[str, Sequence[Finding]],
    asking: str,
    table: TableSent | None = None,
    shown: TableShown | None = None,
    tap_of: str = "",
) -> Response:
    names = {each.name for each in fields} | {FILE}
    loose = [each for name, found in wrong.items() if name not in names for each in found]
    parts = _parts(fields)
    return desk.pages.page(
        "setup.html",
        request,
        422 if wrong or (shown is not None and not shown.clear) else 200,
        fields=fields,
        parts_of=parts,
        tap_of=tap_of,
        loose=loose,
        wrong=bool(wrong) and FILE not in wrong,
        sure=next((each for each in fields if each.name.startswith(SURE)), None),
        file_wrong=tuple(wrong.get(FILE, ())),
        table_fields=told_fields("" if table is None else table.text),
        shown=shown,
        asking=asking,
        away=any(each.key in (NAME_AWAY, NAME_FREED) for found in wrong.values() for each in found),
    )


def _parts(fields: Sequence[Field]) -> Mapping[str, Sequence[Field]]:
    """The fields by the question they belong to."""
    found: dict[str, list[Field]] = {
        part: [] for part in ("basic", "animals", "started", "tap", "known")
    }
    for each in fields:
        if each.name.startswith(setup.ROW) or each.name in setup.OF_ANIMALS:
            found["animals"].append(each)
        elif each.name.startswith(SURE):
            continue
        elif each.name in started.NAMES:
            found["started"].append(each)
        elif each.name in setup.KNOWN:
            found["known"].append(each)
        else:
            found["tap" if each.name == "tap" else "basic"].append(each)
    return found
