"""The catalogue of animals: one by its name, or those that a water suits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.animals import AnimalsFound, animal_names, list_animals, show_animal
from watervane.app.own_animals import own_of_keeper
from watervane.app.tank_page import look_at_tank
from watervane.records import Finding, Tank
from watervane.web.desk import AtDesk
from watervane.web.forms.catalogue import KINDS, name_field, water_fields, water_of, words_of
from watervane.wording.animals import (
    animal_groups,
    animal_name,
    animal_sentences,
    animal_title,
    list_sentences,
    list_tables,
    list_title,
)

routes = APIRouter()
PATH = "/animals"


@routes.get(PATH)
def look_up(request: Request, desk: AtDesk) -> Response:
    """One animal where a name is asked for, else those that a water suits."""
    typed = dict(request.query_params)
    key, name = typed.pop("tank", ""), typed.get("name", "").strip()
    tank = look_at_tank(desk.actor, key, desk.ports).tank if key else None
    if tank is not None and not typed:
        typed = water_of(tank)
    own = own_of_keeper(desk.actor, desk.ports) if tank is None else tank.own_animals
    told: dict[str, Any] = {"one": None, "near": (), "tables": (), "sentences": (), "title": ""}
    missing: Sequence[Finding] = ()
    wrong: dict[str, Sequence[Finding]] = {}
    if name:
        try:
            told |= _one(show_animal(desk.actor, name, own, desk.ports))
        except BadInput as error:
            missing = error.problems
            near = missing[0].arguments.get("near", ())
            names = near if isinstance(near, list) else []
            told["near"] = [(each, _address(each, key)) for each in names]
    else:
        words, found_wrong = words_of(typed, desk.ports)
        wrong = dict(found_wrong)
        kind = typed.get("kind", "")
        kind = kind if kind in KINDS else ""
        if not wrong:
            told |= _many(list_animals(desk.actor, kind or None, words, own, desk.ports), key)
    fields = water_fields(typed, wrong)
    return desk.pages.page(
        "animals.html",
        request,
        404 if missing else 422 if wrong else 200,
        name_field=name_field(name, animal_names(own), missing),
        water_fields=fields,
        wrong=bool(wrong),
        missing=bool(missing),
        **_of_tank(tank, key),
        **told,
    )


def _of_tank(tank: Tank | None, key: str) -> dict[str, Any]:
    back = f"{PATH}?{urlencode({'tank': key})}" if tank is not None else PATH
    return {"tank": tank, "key": key, "back": back}


def _one(found: AnimalsFound) -> dict[str, Any]:
    ((animal, _),) = found.animals
    return {
        "one": tuple(animal_groups(animal)),
        "title": animal_title(animal),
        "sentences": animal_sentences(animal),
    }


def _many(found: AnimalsFound, key: str) -> dict[str, Any]:
    addresses = {animal_name(a): _address(a.scientific_name, key) for a, _ in found.animals}
    return {
        "title": list_title(found.animals),
        "sentences": list_sentences(found.animals, found.wanted),
        "tables": list_tables(found.animals),
        "addresses": addresses,
    }


def _address(name: str, key: str) -> str:
    told = {"name": name, **({"tank": key} if key else {})}
    return f"{PATH}?{urlencode(told)}"
