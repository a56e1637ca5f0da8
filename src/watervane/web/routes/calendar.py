"""A tank's calendar: addresses to subscribe to, and what is read under them."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.due import due_on_page, subscribed_text
from watervane.app.tank_page import look_at_tank
from watervane.records.calendars import Calendar
from watervane.web.desk import AtDesk, Desk
from watervane.web.downloads import as_file
from watervane.web.gate import CALENDAR, CALENDAR_ENDING
from watervane.web.sent import AsSent
from watervane.web.sharing.subscriptions import Subscriptions
from watervane.wording.dates import day_and_clock, short_date

NEVER_KEPT = {"cache-control": "no-store"}
SHOWN = 6  # of what is due before the fold
KIND = "text/calendar; charset=utf-8"
routes = APIRouter()


@routes.get(CALENDAR + "{secret}" + CALENDAR_ENDING)
def read(desk: AtDesk, secret: str) -> Response:
    """The calendar of a tank, for whoever has its address; no cookie is asked for."""
    shelf = _shelf(desk)
    known = shelf.of(secret)
    if known is None:
        raise HTTPException(404)
    try:
        text = subscribed_text(desk.actor, known.tank, known.handed.encode(), desk.ports)
    except BadInput as error:  # the tank has gone: who reads here is told nothing of it
        raise HTTPException(404) from error
    shelf.handed(known, text.decode(), desk.ports.journal.now())
    return Response(text, headers=NEVER_KEPT, media_type=KIND)


@routes.get("/tank/{key}/calendar")
def show(request: Request, desk: AtDesk, key: str) -> Response:
    """The addresses there are."""
    return _page(request, desk, key)


@routes.get("/tank/{key}/calendar/due.ics")
def download(desk: AtDesk, key: str) -> Response:
    """The same as a file, for a calendar that cannot subscribe."""
    text = subscribed_text(desk.actor, key, b"", desk.ports)
    name = look_at_tank(desk.actor, key, desk.ports).tank.name
    return as_file(text, name, CALENDAR_ENDING, KIND)


@routes.post("/tank/{key}/calendar")
def make(request: Request, desk: AtDesk, sent: AsSent, key: str) -> Response:
    """A new address, shown this once."""
    del sent  # only that it came from a page of ours matters
    look_at_tank(desk.actor, key, desk.ports)
    secret = _shelf(desk).add(key, desk.ports.journal.now())
    if secret is None:
        return _page(request, desk, key, full=True)
    return _page(request, desk, key, _addresses(desk, secret))


@routes.post("/tank/{key}/calendar/{subscription}/revoke")
def revoke(desk: AtDesk, sent: AsSent, key: str, subscription: str) -> Response:
    """An address opens nothing from now on."""
    del sent
    look_at_tank(desk.actor, key, desk.ports)
    if not _shelf(desk).revoke(key, subscription):
        raise HTTPException(404)
    return RedirectResponse(f"/tank/{key}/calendar", 303)


def _page(
    request: Request, desk: Desk, key: str, made: tuple[str, ...] = (), *, full: bool = False
) -> Response:
    tank = look_at_tank(desk.actor, key, desk.ports).tank
    zone = ZoneInfo(tank.time_zone)
    due = due_on_page(desk.actor, key, desk.ports)
    known = [
        {"id": each.id, "made": _day(each.made_at, zone), "read": _day(each.read_at, zone)}
        for each in _shelf(desk).of_tank(key)
    ]
    return desk.pages.page(
        "calendar.html",
        request,
        409 if full else 200,
        NEVER_KEPT,
        key=key,
        name=tank.name,
        made=made,
        full=full,
        known=known,
        due=_lines(due.calendar, tank.name),
        first=SHOWN,
        care_left_out=due.care_left_out,
    )


def _lines(due: Calendar, name: str) -> list[tuple[str, str, str]]:
    """When, what and why of each entry; whose it is stands above the page."""
    return [
        (day_and_clock(e.begins), e.title.removeprefix(f"{name}: "), e.why) for e in due.entries
    ]


def _addresses(desk: Desk, secret: str) -> tuple[str, ...]:
    """Where it is read: in the house where pages are shared, and on this machine."""
    own = desk.gate.address.rstrip("/")
    shared = () if desk.share is None else desk.share.addresses
    return tuple(
        f"{base}{CALENDAR}{secret}{CALENDAR_ENDING}" for base in dict.fromkeys((*shared, own))
    )


def _day(moment: str, zone: ZoneInfo) -> str:
    return short_date(datetime.fromisoformat(moment).astimezone(zone).date()) if moment else ""


def _shelf(desk: Desk) -> Subscriptions:
    return Subscriptions(desk.ports.pages.folder())
