"""What is a keeper's own at a tank: kits and their steps, settled levels, limits, accepted risk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import BadInput, edit_tank
from watervane.app.parts import look_at_parts
from watervane.app.tank_page import LookedAt, look_at_tank
from watervane.records import Finding, Forecast, KitScale
from watervane.web.began import began_fields, told_of_beginning, told_of_parts
from watervane.web.desk import AtDesk, Desk
from watervane.web.forms import filled_in, fitted, own
from watervane.web.forms.fields import Field
from watervane.web.forms.sure import SURE
from watervane.web.sent import AsSent, Sent, new_request
from watervane.wording.kit_steps import bare_steps, quantity_title
from watervane.wording.watched import watched

PARTS = ("kit", "settled", "limit", "risk")
TOLD = ("fitted", "began", *PARTS)
MAIN = {
    "kit": "steps",
    "settled": "settled-ammonia",
    "limit": "level",
    "risk": "risk-acute",
}
routes = APIRouter()


@dataclass(frozen=True, slots=True)
class TestShown:
    """One test of one kit as it is kept."""

    kit: str
    kind: str
    quantity: str
    title: str
    steps: str


@routes.get("/tank/{key}/settings")
def show_own(request: Request, desk: AtDesk, key: str, kept: str = "") -> Response:
    """What is set, and the forms to set it."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    return own_page(request, desk, looked, kept=kept if kept in TOLD else "")


@routes.post("/tank/{key}/settings/{part}")
def keep_own(request: Request, desk: AtDesk, sent: AsSent, key: str, part: str) -> Response:
    """Keep one of them, or show the page again with what is wrong."""
    if part not in PARTS:
        raise HTTPException(404)
    looked = look_at_tank(desk.actor, key, desk.ports)
    words = _words(part, sent, _forecast(looked))
    try:
        if words:
            edit_tank(desk.actor, looked.tank.name, words, desk.ports, sent.request)
    except BadInput as error:
        again = _again(part, _fields(desk, looked)[part], sent, error.problems)
        return own_page(request, desk, looked, part, again)
    return RedirectResponse(f"/tank/{key}/settings?kept={part}#{part}", 303)


@routes.post("/tank/{key}/settings/kit/out")
def take_out(desk: AtDesk, sent: AsSent, key: str) -> Response:
    """Take a test out of a kit, and an empty kit out of the tank."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    kit = looked.tank.kits.get(sent.typed.get("kit", ""))
    quantity = sent.typed.get("quantity", "")
    if kit is not None and kit.scale(quantity) is not None:
        last = len(kit.scales) == 1
        word = f"kits.{kit.name}=" if last else f"kits.{kit.name}.{quantity}="
        edit_tank(desk.actor, looked.tank.name, [word], desk.ports, sent.request)
    return RedirectResponse(f"/tank/{key}/settings?kept=kit#kit", 303)


def _words(part: str, sent: Sent, forecast: Forecast | None) -> list[str]:
    if part == "kit":
        return own.kit_words(sent.typed)
    if part == "settled":
        return own.settled_words(sent.typed)
    if part == "risk":
        return own.risk_words(sent.typed)
    return own.limit_words(sent.typed, forecast)


def _forecast(looked: LookedAt) -> Forecast | None:
    return None if looked.foreseen is None else looked.foreseen.forecast


def _fields(desk: Desk, looked: LookedAt) -> dict[str, tuple[Field, ...]]:
    return {
        "fitted": fitted.fields(look_at_parts(desk.actor, looked.key, desk.ports)),
        "began": began_fields(looked),
        "kit": own.kit_fields(looked.tank),
        "settled": own.settled_fields(looked.tank.settled_levels),
        "limit": own.limit_fields(_forecast(looked)),
        "risk": own.risk_fields(looked.tank.allowed_risk),
    }


def own_page(
    request: Request,
    desk: Desk,
    looked: LookedAt,
    part: str = "",
    again: tuple[Field, ...] = (),
    kept: str = "",
) -> Response:
    """The page; with ``again`` the fields of a part as they were sent, and what is wrong."""
    forecast = _forecast(looked)
    fields = _fields(desk, looked) | ({part: again} if part else {})
    tests = [
        TestShown(kit.name, kit.kind, scale.quantity, quantity_title(scale.quantity), _steps(scale))
        for kit in looked.tank.kits.values()
        for scale in kit.scales
    ]
    edits = [] if forecast is None else [
        each for each in (watched(key, forecast.limits) for key in forecast.limits)
        if each is not None and each.told is not None and each.told.edited
    ]  # fmt: skip
    return desk.pages.page(
        "own.html",
        request,
        422 if part else 200,
        key=looked.key,
        name=looked.tank.name,
        fields=fields,
        groups=fitted.GROUPS,
        tests=tests,
        edits=edits,
        began=told_of_beginning(looked),
        came_later=told_of_parts(looked),
        kept=kept,
        wrong=part,
        sure=any(each.name.startswith(SURE) for each in again),
        asking=new_request(),
    )


def _steps(scale: KitScale) -> str:
    steps, unit = bare_steps(scale)
    return f"{' · '.join(steps)} {unit}".strip()


def _again(
    part: str, fields: Sequence[Field], sent: Sent, wrong: Sequence[Finding]
) -> tuple[Field, ...]:
    """The fields with what was typed, what is wrong at the one it is about."""
    names = {each.name for each in fields}
    by_field: dict[str, list[Finding]] = {}
    for finding in wrong:
        place = str(finding.arguments.get("field", ""))
        place = f"{part}-{place}" if f"{part}-{place}" in names else place
        if finding.key == "kit-name":
            place = "kit"
        by_field.setdefault(place if place in names else MAIN[part], []).append(finding)
    return filled_in(fields, sent.typed, by_field)
