"""Set up a tank: a few questions, or a file that tells all of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.recording import BadLines
from watervane.app.setting_up import set_up_tank, take_over_tank
from watervane.records import Finding
from watervane.web.desk import AtDesk, Desk
from watervane.web.forms import filled_in, setup
from watervane.web.forms.fields import Field
from watervane.web.sent import AsSent, new_request
from watervane.wording import phrase

routes = APIRouter()
FILE = "file"


@routes.get("/new")
def ask_for_tank(request: Request, desk: AtDesk) -> Response:
    """The questions of day one."""
    return _form(request, desk, setup.all_fields(_today(desk)), {}, new_request())


@routes.post("/new")
def add_tank(request: Request, desk: AtDesk, sent: AsSent) -> Response:
    """The tank with its first animals, or the form again with what is wrong."""
    zone = desk.ports.pages.time_zone()
    name = sent.typed.get("name", "").strip()
    told = setup.lines(sent.typed)
    wrong: dict[str, list[Finding]] = {}
    try:
        kept = set_up_tank(
            desk.actor,
            name or phrase("setup-unnamed"),
            setup.words(sent.typed, zone),
            [each.line for each in told],
            desk.ports,
            sent.request,
        )
        return RedirectResponse(f"/tank/{kept.receipt.tank}?begun=1", 303)
    except BadLines as error:
        for index, findings in error.by_line.items():
            for finding in findings:
                wrong.setdefault(told[index].field_of(finding), []).append(finding)
    except BadInput as error:
        for finding in error.problems:
            wrong.setdefault(setup.field_of(finding), []).append(finding)
    fields = filled_in(setup.all_fields(_today(desk)), sent.typed, wrong)
    return _form(request, desk, fields, wrong, sent.request)


@routes.post("/new/file")
def take_over(request: Request, desk: AtDesk, sent: AsSent) -> Response:
    """A tank with its whole log from a file, or every problem with its line."""
    files = sent.files.get(FILE, ())
    wrong: Sequence[Finding] = (Finding("setup-no-file", "problem", {}),)
    if files:
        try:
            kept = take_over_tank(desk.actor, files[0], desk.ports, sent.request)
            return RedirectResponse(f"/tank/{kept.receipt.tank}?begun=1", 303)
        except BadInput as error:
            wrong = error.problems
    return _form(request, desk, setup.all_fields(_today(desk)), {FILE: wrong}, new_request())


def _today(desk: Desk) -> date:
    return desk.ports.journal.now().astimezone(ZoneInfo(desk.ports.pages.time_zone())).date()


def _form(
    request: Request,
    desk: Desk,
    fields: Sequence[Field],
    wrong: Mapping[str, Sequence[Finding]],
    asking: str,
) -> Response:
    names = {each.name for each in fields} | {FILE}
    loose = [each for name, found in wrong.items() if name not in names for each in found]
    parts = _parts(fields)
    return desk.pages.page(
        "setup.html",
        request,
        422 if wrong else 200,
        fields=fields,
        parts_of=parts,
        loose=loose,
        wrong=bool(wrong) and FILE not in wrong,
        file_wrong=tuple(wrong.get(FILE, ())),
        asking=asking,
    )


def _parts(fields: Sequence[Field]) -> Mapping[str, Sequence[Field]]:
    """The fields by the question they belong to."""
    found: dict[str, list[Field]] = {"basic": [], "animals": [], "tap": [], "known": []}
    for each in fields:
        row = each.name.startswith(("species-", "count-"))
        if row or each.name == "since":
            found["animals"].append(each)
        elif each.name in setup.KNOWN:
            found["known"].append(each)
        else:
            found["tap" if each.name == "tap" else "basic"].append(each)
    return found
