"""Plan a tank that does not exist yet: the form, what comes of it, its file, and its start."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.blueprint_sheet import blueprint_sheet
from watervane.app.due import plan_calendar_text
from watervane.app.handing_over import dated, filled_after_setting_up
from watervane.app.own_animals import own_of_keeper
from watervane.app.planning_pages import (
    PlannedTogether,
    known_taps,
    plan_together,
    planned_tank_file,
    start_planned_tank,
)
from watervane.app.section_pictures import section_picture
from watervane.charts.tank_section import section_svg
from watervane.records import Blueprint, Finding
from watervane.web.desk import AtDesk, Desk
from watervane.web.downloads import as_file
from watervane.web.forms import filled_in
from watervane.web.forms.blueprint import (
    IONS,
    OF_SHAPES,
    TAP,
    blueprint_field,
    form_parts,
    names_of,
    parts_asked,
    wrong_alone,
)
from watervane.web.forms.blueprint_words import (
    Wrong,
    blueprint_words,
    day_of,
    fields_of_tap,
    problems_by_field,
)
from watervane.web.forms.catalogue import animals_query
from watervane.web.forms.choosing import plan_query
from watervane.web.routes.source_water import asked, water_query
from watervane.web.sent import AsSent, new_request
from watervane.wording import phrase
from watervane.wording.amounts import listed
from watervane.wording.blueprint import blueprint_title
from watervane.wording.blueprint_page import (
    always_minded,
    animals_against,
    choice_answer,
    later_answers,
    plan_answers,
    plan_standing,
    water_answer,
)

SIZES = ("length", "width", "height", "corners")
FILLED = "filled"
FILE_TYPE = "application/toml; charset=utf-8"
routes = APIRouter()


@routes.get("/blueprint")
def plan(request: Request, desk: AtDesk) -> Response:
    """The form, and the plan of what it tells."""
    typed, live = asked(request, desk)
    if not typed:
        return _page(request, desk, typed, PlannedTogether(), {})
    words, wrong = blueprint_words(typed)
    return _page(request, desk, typed, _planned(desk, typed, words, wrong), wrong, live=live)


@routes.get("/blueprint/tap")
def take_tap(request: Request, desk: AtDesk, take: str = "") -> Response:
    """The form with a tap that was told of for a tank in place of its own."""
    typed = {name: told for name, told in request.query_params.items() if name != "take"}
    taps = {each.key: each.water for each in known_taps(desk.actor, desk.ports)}
    if take not in taps:
        raise HTTPException(404)
    bare = {name: told for name, told in typed.items() if name not in (*TAP, *IONS) and told}
    return RedirectResponse(f"/blueprint?{urlencode({**bare, **fields_of_tap(taps[take])})}", 303)


@routes.get("/blueprint/tank-file")
def take_file(request: Request, desk: AtDesk) -> Response:
    """The plan as a tank file, or the form again with what is wrong."""
    typed = dict(request.query_params)
    words, wrong = blueprint_words(typed)
    filled, late = day_of(typed, _today(desk))
    found: Wrong = {}
    if not (wrong or late):
        try:
            text = planned_tank_file(desk.actor, words, filled, desk.ports)
        except BadInput as error:
            found = problems_by_field(error.problems)
        else:
            return as_file(text, words["name"], ".tank.toml", FILE_TYPE)
    told = _planned(desk, typed, words, wrong)
    return _page(request, desk, typed, told, {**found, **wrong, **late})


@routes.get("/blueprint/sheet")
def take_sheet(request: Request, desk: AtDesk) -> Response:
    """The plan to print, or the form again with what is wrong."""
    typed = dict(request.query_params)
    words, wrong = blueprint_words(typed)
    filled, late = day_of(typed, _today(desk))
    told = _planned(desk, typed, words, wrong)
    if wrong or late or told.blueprint is None:
        return _page(request, desk, typed, told, {**wrong, **late})
    day = _day_filled(told.blueprint, filled, desk)
    sheet = blueprint_sheet(dated(told.blueprint, day), told.choice)
    printed = desk.ports.care.sheet_pdf(sheet)
    return as_file(printed, words["name"], ".pdf", "application/pdf")


@routes.get("/blueprint/calendar")
def take_calendar(request: Request, desk: AtDesk) -> Response:
    """The steps as a calendar, or the form again with what is wrong."""
    typed = dict(request.query_params)
    words, wrong = blueprint_words(typed)
    filled, late = day_of(typed, _today(desk))
    told = _planned(desk, typed, words, wrong)
    if wrong or late or told.blueprint is None:
        return _page(request, desk, typed, told, {**wrong, **late})
    day = _day_filled(told.blueprint, filled, desk)
    text = plan_calendar_text(told.blueprint, day, desk.ports)
    return as_file(text, words["name"], ".ics", "text/calendar; charset=utf-8")


@routes.post("/blueprint/start")
def start(request: Request, desk: AtDesk, sent: AsSent) -> Response:
    """The planned tank becomes one of the journal's, or the form comes back."""
    words, wrong = blueprint_words(sent.typed)
    filled, late = day_of(sent.typed, _today(desk))
    found: Wrong = {}
    if not (wrong or late):
        try:
            kept = start_planned_tank(desk.actor, words, filled, desk.ports, sent.request)
        except BadInput as error:
            found = problems_by_field(error.problems)
        else:
            return RedirectResponse(f"/tank/{kept.receipt.tank}?begun=1", 303)
    told = _planned(desk, sent.typed, words, wrong)
    return _page(request, desk, sent.typed, told, {**found, **wrong, **late})


def _planned(desk: Desk, typed: Mapping[str, str], words: Any, wrong: Wrong) -> PlannedTogether:
    """What can be worked out; its problems are added to those of the form."""
    if not any(typed.get(name, "").strip() for name in SIZES):
        return PlannedTogether()
    unread = bool(wrong)
    told = plan_together(desk.actor, words, desk.ports)
    change = [each for each in told.choice_wrong if each.arguments.get("option") == "change"]
    for name, found in problems_by_field((*told.wrong, *told.water_wrong, *change)).items():
        if name not in wrong or not unread:
            wrong.setdefault(name, []).extend(found)
    return PlannedTogether() if unread else told


def _page(
    request: Request,
    desk: Desk,
    typed: Mapping[str, str],
    told: PlannedTogether,
    wrong: Mapping[str, Sequence[Finding]],
    *,
    live: bool = False,
) -> Response:
    whole = parts_asked(typed)
    names = {*names_of(whole), FILLED}
    own = [] if live else [each.name for each in own_of_keeper(desk.actor, desk.ports)]
    parts = form_parts(typed, wrong, wrong_alone(whole, wrong) if live else whole, own=own)
    fields = [each for part in parts for each in (*part.fields, *part.more)]
    (last,) = filled_in([blueprint_field(FILLED)], typed, wrong)
    fields.append(last)
    loose = [each for name, found in wrong.items() if name not in names for each in found]
    return desk.pages.page(
        "blueprint.html",
        request,
        422 if wrong and not live else 200,
        parts_of=parts,
        fields=fields,
        loose=loose,
        wrong=bool(wrong),
        shapes_of=shapes_of_fields(),
        choose_query=typed_query(typed),
        asking=new_request(),
        water_query=water_query(typed),
        animals_query=animals_query(typed, told.water),
        filled=last,
        taps=[
            {"key": each.key, "label": phrase("blueprint-tap-of", tanks=listed(list(each.tanks)))}
            for each in (known_taps(desk.actor, desk.ports) if _asks_tap(told) else ())
        ],
        **_told(told, typed),
    )


def _asks_tap(told: PlannedTogether) -> bool:
    """Whether the answer about the tap can only ask for one."""
    return told.blueprint is not None and told.water is None and not told.water_wrong


def shapes_of_fields() -> dict[str, str]:
    """The shapes that ask for a size, by its field, as the page's script reads them."""
    return {
        name: " ".join(each.replace(" ", "-") for each in shapes)
        for name, shapes in OF_SHAPES.items()
    }


def typed_query(typed: Mapping[str, str]) -> str:
    """All that was typed, as an address tells it."""
    return urlencode({name: value for name, value in typed.items() if value and name != "request"})


def _told(told: PlannedTogether, typed: Mapping[str, str]) -> dict[str, Any]:
    plan = told.blueprint
    if plan is None:
        return {"plan": None}
    others = told.choice if told.choice is not None and animals_against(plan) else None
    return {
        "plan": plan,
        "title": blueprint_title(plan),
        "standing": plan_standing(plan),
        "answers": plan_answers(plan),
        "water": None if told.water is None else water_answer(told.water),
        "water_wrong": bool(told.water_wrong),
        "together": choice_answer(told.choice, told.choice_wrong, plan)
        if told.choice or told.choice_wrong
        else None,
        "instead_query": plan_query(others, typed) if others is not None and others.chosen else "",
        "later": later_answers(plan),
        "always": always_minded(plan),
        "drawings": _drawings(plan),
    }


def _drawings(plan: Blueprint) -> list[tuple[str, str]]:
    """The section for a broad and for a narrow column."""
    picture = section_picture(plan)
    return [
        (name, section_svg(picture, f"section-{name}", narrow=name == "narrow"))
        for name in ("broad", "narrow")
    ]


def _day_filled(plan: Blueprint, told: date, desk: Desk) -> date:
    """The day told; where none was, so late that the first step is not over yet."""
    return told if plan.wish.filled else filled_after_setting_up(plan, _today(desk))


def _today(desk: Desk) -> date:
    return desk.ports.journal.now().astimezone(ZoneInfo(desk.ports.pages.time_zone())).date()
