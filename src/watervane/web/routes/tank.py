"""The page of a tank, in the keeper's order of questions."""

from __future__ import annotations

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import Line, photo_of
from watervane.app.at_once import at_once
from watervane.app.doing import DONE_KINDS, done_since, lines_of_days
from watervane.app.recording import record_lines
from watervane.app.tank_page import check_tank, look_at_tank, picture_of_tank
from watervane.charts import Picture
from watervane.web.answers import Answers, answers_of, mark_of
from watervane.web.assets import Asset
from watervane.web.desk import AtDesk, Desk
from watervane.web.drawings import Within, script, script_version
from watervane.web.sent import AsSent, moment_tapped, new_request
from watervane.wording.in_units import current_units

routes = APIRouter()
LOOKS = ("light", "dark")
JUMPS = ("wrong-now", "do-today", "coming", "why", "ask", "recorded")
KEPT_A_WHILE = "private, max-age=86400"


@routes.get("/tank/{key}")
def show_tank(
    request: Request,
    desk: AtDesk,
    key: str,
    kept: str = "",
    undone: str = "",
    begun: int = 0,
    already: str = "",
) -> Response:
    """Everything about one tank that is known without waiting."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    told, gone = desk.entries_named(key, kept), desk.entries_named(key, undone)
    before = desk.entries_named(key, already)
    alarming = at_once(desk.actor, looked, desk.ports)
    answers = answers_of(looked, told, gone, before, alarming, desk.ports)
    return desk.pages.page(
        "tank.html",
        request,
        key=key,
        looked=looked,
        a=answers,
        within=_within(desk, key, answers),
        begun=bool(begun),
        jumps=[each for each in JUMPS if each != "why" or answers.picture is not None],
        asking=new_request(),
    )


def _within(desk: Desk, key: str, answers: Answers) -> Within | None:
    """The drawing as a part of the page; where it is not drawn yet, it soon is."""
    if answers.picture is None:
        return None
    found = desk.drawings.within(f"{key} {answers.mark}")
    if found is None and desk.ahead is not None:
        desk.ahead.draw_one(key, answers.mark)
    return found


@routes.post("/tank/{key}/done")
def keep_done(desk: AtDesk, sent: AsSent, key: str) -> Response:
    """Record a step as done, as the page showed it: what is judged since is of no matter.

    One that was told since the newest judgement is told again only where that is meant.
    """
    kind, words = sent.typed.get("kind", ""), sent.typed.get("words", "")
    if kind not in DONE_KINDS:
        raise HTTPException(404)
    line = Line(kind, tuple(words.split("\n")), moment_tapped(sent))
    looked = look_at_tank(desk.actor, key, desk.ports)
    before = None if sent.typed.get("again") else done_since(looked, line, desk.ports)
    if before is not None:
        return RedirectResponse(f"/tank/{key}?already={before.number}#kept", 303)
    days = sent.typed.get("days", "")
    lines = lines_of_days(line, int(days) if days.isdecimal() else 1, looked.now)
    kept = record_lines(desk.actor, key, lines, desk.ports, sent.request)
    told = ",".join(map(str, kept.receipt.entries))
    return RedirectResponse(f"/tank/{key}?kept={told}#kept", 303)


@routes.get("/tank/{key}/forecast.svg")
def draw(
    request: Request, desk: AtDesk, key: str, look: str = "light", narrow: int = 0, of: str = ""
) -> Response:
    """The forecast as a still drawing; ``of`` names it, so that browsers may keep it."""
    if look not in LOOKS:
        raise HTTPException(404)
    known = desk.drawings.kept_still(f"{key} {of}", look, narrow=bool(narrow))
    if known is not None:
        check_tank(desk.actor, key, desk.ports)
        return answer(known, request, KEPT_A_WHILE)
    picture, mark = _picture(desk, key)
    made = desk.drawings.still(picture, f"{key} {mark}", look, narrow=bool(narrow))
    return answer(made, request, KEPT_A_WHILE if of == mark else "private, no-cache")


@routes.get("/tank/{key}/forecast.json")
def draw_living(request: Request, desk: AtDesk, key: str, of: str = "") -> Response:
    """The forecast as the script draws it."""
    known = desk.drawings.kept_living(f"{key} {of}")
    if known is not None:
        check_tank(desk.actor, key, desk.ports)
        return answer(known, request, KEPT_A_WHILE)
    picture, mark = _picture(desk, key)
    caching = KEPT_A_WHILE if of == mark else "private, no-cache"
    drawing = desk.drawings.living(picture, f"{key} {mark}", current_units().nitrogen)
    return answer(drawing, request, caching)


@routes.get("/drawing/{version}/living.js")
def send_script(request: Request, desk: AtDesk, version: str) -> Response:
    """The drawing script."""
    if version != script_version():
        raise HTTPException(404)
    return answer(script(desk.ports.pages.cache()), request, "private, max-age=31536000, immutable")


@routes.get("/tank/{key}/entry/{number}/photo")
def send_photo(desk: AtDesk, key: str, number: int) -> Response:
    """The photo of an entry."""
    look_at_tank(desk.actor, key, desk.ports)
    photo = photo_of(desk.actor, number, desk.ports)
    return Response(
        photo.data, media_type=photo.media_type, headers={"cache-control": KEPT_A_WHILE}
    )


def _picture(desk: Desk, key: str) -> tuple[Picture, str]:
    looked = look_at_tank(desk.actor, key, desk.ports)
    picture = picture_of_tank(looked, current_units().nitrogen)
    if picture is None:
        raise HTTPException(404)
    return picture, mark_of(looked)


def answer(asset: Asset, request: Request, caching: str) -> Response:
    """An asset, packed where the browser takes it so."""
    headers = {"cache-control": caching, "vary": "accept-encoding"}
    if asset.packed is not None and "gzip" in request.headers.get("accept-encoding", ""):
        headers["content-encoding"] = "gzip"
        return Response(asset.packed, media_type=asset.media_type, headers=headers)
    return Response(asset.data, media_type=asset.media_type, headers=headers)
