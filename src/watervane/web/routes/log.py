"""All that was recorded of a tank, a page at a time, by kind and up to any day."""

from __future__ import annotations

from datetime import date
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import Response

from watervane.app.log import A_PAGE, LogPage, log_page
from watervane.web.desk import AtDesk
from watervane.web.entries import entry_shown
from watervane.web.forms import KINDS, Field
from watervane.web.forms.fields import Option
from watervane.web.sent import new_request
from watervane.wording import phrase

routes = APIRouter()
MOST_PAGES = 1_000_000


@routes.get("/tank/{key}/log")
def show_log(
    request: Request, desk: AtDesk, key: str, kind: str = "", until: str = "", page: str = "1"
) -> Response:
    """A page of it; whatever cannot be understood is as if it were not asked."""
    records = KINDS[kind].records if kind in KINDS else ()
    day = _day(until)
    wanted = min(int(page), MOST_PAGES) if page.isascii() and page.isdecimal() else 1
    log = log_page(desk.actor, key, desk.ports, kinds=records, until=day, page=wanted)
    part = log.part

    def at(number: int) -> str:
        told = {"kind": kind if records else "", "until": until if day else "", "page": number}
        return f"/tank/{key}/log?{urlencode({name: each for name, each in told.items() if each})}"

    return desk.pages.page(
        "log.html",
        request,
        key=key,
        log=log,
        fields=_fields(kind, until, wrong=bool(until) and day is None),
        shown=[
            entry_shown(each, log.now, log.photographed, part.corrected) for each in part.entries
        ],
        told=_told(log),
        sifted=bool(records or day),
        newer=at(log.page - 1),
        older=at(log.page + 1),
        oldest=at(log.pages),
        asking=new_request(),
    )


def _told(log: LogPage) -> str:
    first = (log.page - 1) * A_PAGE + 1
    numbers = {"first": first, "last": first + len(log.part.entries) - 1, "total": log.part.total}
    return phrase("log-told", **numbers)


def _fields(kind: str, until: str, *, wrong: bool) -> tuple[Field, ...]:
    kinds = tuple(Option(name, phrase(f"record-{name}")) for name in KINDS)
    every = Option("", phrase("log-every-kind"))
    return (
        Field("kind", "list", phrase("log-kind"), value=kind, options=(every, *kinds), short=True),
        Field(
            "until",
            "date",
            phrase("log-until"),
            value="" if wrong else until,
            wrong=(phrase("form-bad-day", value=until),) if wrong else (),
            short=True,
        ),
    )


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
