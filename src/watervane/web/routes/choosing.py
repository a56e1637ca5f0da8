"""Choose animals for a tank that is planned: who can share its water, and how many of each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.choosing import choose_animals
from watervane.app.own_animals import own_of_keeper
from watervane.records import Choice, Help
from watervane.web.desk import AtDesk, Desk
from watervane.web.forms.blueprint import form_parts, names_of, wrong_alone
from watervane.web.forms.blueprint_words import Wrong
from watervane.web.forms.choosing import (
    OPENED,
    PARTS_OF_CHOICE,
    carried,
    choice_words,
    plan_query,
    problems_at_wishes,
    water_query,
    with_help,
)
from watervane.web.routes.blueprint import SIZES, shapes_of_fields, typed_query
from watervane.web.routes.source_water import asked
from watervane.wording import phrase
from watervane.wording.choosing_page import choice_on_page

routes = APIRouter()


@routes.get("/blueprint/choose")
def choose(request: Request, desk: AtDesk) -> Response:
    """The form, and what can be chosen of the wishes it tells."""
    typed, live = asked(request, desk)
    words, wrong = choice_words(typed)
    choice = _chosen(desk, typed, words, wrong)
    own = [] if live else [each.name for each in own_of_keeper(desk.actor, desk.ports)]
    names = names_of(PARTS_OF_CHOICE)
    asked_now = wrong_alone(PARTS_OF_CHOICE, wrong) if live else PARTS_OF_CHOICE
    parts = form_parts(typed, wrong, asked_now, OPENED, own)
    fields = [each for part in parts for each in (*part.fields, *part.more)]
    return desk.pages.page(
        "choose.html",
        request,
        422 if wrong and not live else 200,
        parts_of=parts,
        fields=fields,
        loose=[each for name, found in wrong.items() if name not in names for each in found],
        wrong=bool(wrong),
        shapes_of=shapes_of_fields(),
        carried=carried(typed),
        back_query=typed_query(typed),
        **_told(choice, typed),
    )


def _chosen(desk: Desk, typed: Mapping[str, str], words: Any, wrong: Wrong) -> Choice | None:
    """The choice, where tank and wishes are told; problems are added to those of the form."""
    sizes = any(typed.get(name, "").strip() for name in SIZES)
    if wrong or not sizes or not words.get("wish"):
        return None
    try:
        own = own_of_keeper(desk.actor, desk.ports)
        return choose_animals(desk.actor, words, desk.ports, own).choice
    except BadInput as error:
        for name, found in problems_at_wishes(error.problems, typed).items():
            wrong.setdefault(name, []).extend(found)
    return None


def _told(choice: Choice | None, typed: Mapping[str, str]) -> dict[str, Any]:
    if choice is None:
        return {"told": None}
    told = choice_on_page(choice)
    return {
        "told": told,
        "helps": [(line, *_way_to(each, typed)) for each, line in told.helps],
        "plan_query": plan_query(choice, typed) if choice.chosen else "",
    }


def _way_to(help_: Help, typed: Mapping[str, str]) -> tuple[str, str]:
    """Where a change is made, and what the way there says; empty where no field makes it."""
    water = water_query(help_, typed)
    if water:
        return f"/source-water?{water}", phrase("choose-page-mix")
    query = with_help(help_, typed)
    return (f"/blueprint/choose?{query}" if query else ""), phrase("choose-page-try")
