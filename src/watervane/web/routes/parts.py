"""Tell what a tank is made of, and how it began; what holds since a day is kept with that day."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.doubting import BadLines, Doubted
from watervane.app.parts import look_at_parts, tell_parts
from watervane.app.tank_page import look_at_tank
from watervane.records import Finding
from watervane.web.began import animals_came
from watervane.web.desk import AtDesk, Desk
from watervane.web.forms import filled_in, fitted, started
from watervane.web.forms.fields import Field, Told
from watervane.web.forms.sure import sure_field, sure_of
from watervane.web.routes.own import own_page
from watervane.web.sent import AsSent, Sent

routes = APIRouter()
Place = Callable[[Finding], str]


@routes.post("/tank/{key}/settings/fitted")
def keep_fitted(request: Request, desk: AtDesk, sent: AsSent, key: str) -> Response:
    """Keep what it is made of, or show the page again with what is wrong."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    made_of = look_at_parts(desk.actor, key, desk.ports)
    words, told = fitted.words(sent.typed, made_of), fitted.lines(sent.typed)

    def place(finding: Finding) -> str:
        if finding.key in ("tank-name-taken", "tank-name-away"):
            return "name"
        return fitted.field_of(str(finding.arguments.get("field", "")), sent.typed)

    problems = fitted.missing(sent.typed)
    wrong, asked = _kept(desk, sent, key, (words, told), problems, place)
    if not wrong:
        return RedirectResponse(f"/tank/{key}/settings?kept=fitted#fitted", 303)
    fields = fitted.fields(made_of)
    names = {each.name for each in fields}
    wrong = {name if name in names else "volume": found for name, found in wrong.items()}
    return own_page(
        request, desk, looked, "fitted", (*filled_in(fields, sent.typed, wrong), *asked)
    )


@routes.post("/tank/{key}/settings/began")
def keep_beginning(request: Request, desk: AtDesk, sent: AsSent, key: str) -> Response:
    """Keep how it began, from the day of filling on."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    told = started.lines(sent.typed, looked.tank.filled, animals_came(looked))
    wrong, asked = _kept(desk, sent, key, ([], told), [], lambda _finding: "fed")
    if not wrong:
        return RedirectResponse(f"/tank/{key}/settings?kept=began#began", 303)
    fields = started.fields()
    names = {each.name for each in fields}
    wrong = {name if name in names else "fed": found for name, found in wrong.items()}
    return own_page(request, desk, looked, "began", (*filled_in(fields, sent.typed, wrong), *asked))


def _kept(
    desk: Desk,
    sent: Sent,
    key: str,
    told: tuple[list[str], list[Told]],
    problems: list[Finding],
    place: Place,
) -> tuple[dict[str, list[Finding]], tuple[Field, ...]]:
    """What is wrong by field, and what to tick where it is only doubtful; nothing where kept."""
    words, lines = told
    wrong: dict[str, list[Finding]] = {}
    for finding in problems:
        wrong.setdefault(place(finding), []).append(finding)
    if wrong:
        return wrong, ()
    try:
        if words or lines:
            given = [each.line for each in lines]
            tell_parts(desk.actor, key, words, given, desk.ports, sent.request, sure_of(sent.typed))
    except BadLines as error:
        for index, findings in error.by_line.items():
            for finding in findings:
                wrong.setdefault(lines[index].field_of(finding), []).append(finding)
        if isinstance(error, Doubted):
            for finding in error.of_tank:
                wrong.setdefault(place(finding), []).append(finding)
            return wrong, (sure_field(error),)
    except BadInput as error:
        for finding in error.problems:
            wrong.setdefault(place(finding), []).append(finding)
    return wrong, ()
