"""Write down the readings of a week on one page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.doubting import BadLines, Doubted
from watervane.app.recording import record_lines
from watervane.app.tank_page import LookedAt, look_at_tank
from watervane.records import Finding
from watervane.web.desk import AtDesk, Desk
from watervane.web.forms import Field, Told, filled_in
from watervane.web.forms.sure import sure_field, sure_of
from watervane.web.forms.week import DayAsked, week_bases, week_fields, week_lines, week_of_days
from watervane.web.sent import PASSED, AsSent, new_request

routes = APIRouter()


@routes.get("/tank/{key}/record/week")
def ask_week(request: Request, desk: AtDesk, key: str) -> Response:
    """The last seven days, with nothing in them."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    bases = week_bases(looked.tank, looked.usual)
    return _page(request, desk, looked, week_of_days(looked.now.date()), bases)


@routes.post("/tank/{key}/record/week")
def keep_week(request: Request, desk: AtDesk, sent: AsSent, key: str) -> Response:
    """Keep all of it or nothing; then the page comes back with what is wrong."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    days = week_of_days(looked.now.date(), sent.typed)
    told: list[Told] = week_lines(sent.typed, looked.tank, looked.usual, days)
    wrong: dict[str, list[Finding]] = {}
    sure: Field | None = None
    try:
        lines = [each.line for each in told]
        kept = record_lines(desk.actor, key, lines, desk.ports, sent.request, sure_of(sent.typed))
        numbers = ",".join(map(str, kept.receipt.entries))
        return RedirectResponse(f"/tank/{key}?kept={numbers}#kept", 303)
    except BadLines as error:
        for index, findings in error.by_line.items():
            for finding in findings:
                wrong.setdefault(told[index].field_of(finding), []).append(finding)
        sure = sure_field(error) if isinstance(error, Doubted) else None
    except BadInput as error:
        if any(finding.key == PASSED for finding in error.problems):
            raise
        wrong[""] = list(error.problems)
    bases = filled_in(week_bases(looked.tank, looked.usual), sent.typed, {})
    return _page(request, desk, looked, days, bases, (sent.typed, wrong), sure)


def _page(
    request: Request,
    desk: Desk,
    looked: LookedAt,
    days: Sequence[date],
    bases: Sequence[Field],
    sent: tuple[Mapping[str, str], Mapping[str, Sequence[Finding]]] | None = None,
    sure: Field | None = None,
) -> Response:
    typed, wrong = sent or ({}, {})
    asked = [
        DayAsked(each.title, filled_in(each.fields, typed, wrong))
        for each in week_fields(looked.tank, looked.usual, days)
    ]
    fields = [field for each in asked for field in each.fields]
    names = {each.name for each in fields}
    return desk.pages.page(
        "week.html",
        request,
        422 if wrong else 200,
        key=looked.key,
        tank=looked.tank,
        days=asked,
        bases=bases,
        fields=fields,
        loose=[f for name, found in wrong.items() if name not in names for f in found],
        wrong=bool(wrong),
        sure=sure,
        asking=typed.get("request") or new_request(),
    )
