"""Trouble: what is seen, done and read, and which causes explain it; with or without a tank."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fastapi import APIRouter, Request
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.trouble import find_trouble, tank_in_trouble, trouble_in_journal
from watervane.records import Finding, Tank
from watervane.records.trouble import Trouble
from watervane.web.desk import AtDesk, Desk
from watervane.wording import phrase
from watervane.wording import trouble as wording

routes = APIRouter()
MOST_TYPED, MOST_TICKED = 60, 40
BEFORE = "before-"
NOT_ASKED = ("", "untold")
SEVERAL = ("see", "not-seen", "after")
ONE = ("who", "since", "days-old", "animals")


@routes.get("/trouble")
def find_cause(request: Request, desk: AtDesk) -> Response:
    """The questions, and what comes of the answers sent; for a tank that is not kept here."""
    return _page(request, desk, None, "")


@routes.get("/tank/{key}/trouble")
def find_cause_in(request: Request, desk: AtDesk, key: str) -> Response:
    """The same for a tank whose log tells, too."""
    return _page(request, desk, tank_in_trouble(desk.actor, key, desk.ports), key)


def _page(request: Request, desk: Desk, tank: Tank | None, key: str) -> Response:
    asked = desk.ports.care.trouble_questions()
    ticked, typed = _answers(request, asked.readings)
    words = _words(ticked, typed, asked.readings)
    found: Trouble | None = None
    findings: tuple[Finding, ...] = ()
    if request.query_params:
        try:
            found = _found(desk, key, words)
        except BadInput as error:
            findings = tuple(_on_page(each) for each in error.problems)
    return desk.pages.page(
        "find_trouble.html",
        request,
        422 if findings else 200,
        tank=tank,
        key=key,
        asked=asked,
        deeds=(*asked.done, "none", "unsure"),
        ticked=ticked,
        typed=typed,
        found=found,
        findings=findings,
        wrong=_by_field(findings),
        before_wrong=any(str(each.arguments.get("field")).startswith(BEFORE) for each in findings),
        words=wording,
    )


def _found(desk: Desk, key: str, words: Mapping[str, str | tuple[str, ...]]) -> Trouble:
    if key:
        return trouble_in_journal(desk.actor, key, words, desk.ports)
    return find_trouble(desk.actor, None, words, None, desk.ports)


def _answers(
    request: Request, readings: tuple[str, ...]
) -> tuple[Mapping[str, tuple[str, ...]], Mapping[str, str]]:
    """What was ticked and what was typed, cut to a length nobody exceeds honestly."""
    told = request.query_params
    ticked = {
        name: tuple(each[:MOST_TYPED] for each in told.getlist(name)[:MOST_TICKED])
        for name in SEVERAL
    }
    names = (*ONE, *readings, *(BEFORE + quantity for quantity in readings))
    return ticked, {name: told.get(name, "")[:MOST_TYPED].strip() for name in names}


def _words(
    ticked: Mapping[str, tuple[str, ...]], typed: Mapping[str, str], readings: tuple[str, ...]
) -> Mapping[str, str | tuple[str, ...]]:
    """As the command line would have them."""
    words: dict[str, str | tuple[str, ...]] = {name: told for name, told in ticked.items() if told}
    words |= {name: typed[name] for name in ("who", "since") if typed[name] not in NOT_ASKED}
    if typed["days-old"]:
        words["days-old"] = typed["days-old"]
    if typed["animals"]:
        words["animals"] = tuple(part.strip() for part in typed["animals"].split(","))
    for name, prefix in (("reading", ""), ("before", BEFORE)):
        told = tuple(f"{q} {typed[prefix + q]}" for q in readings if typed[prefix + q])
        if told:
            words[name] = told
    return words


def _on_page(finding: Finding) -> Finding:
    """The same problem, told of the question of the form it came from."""
    told = dict(finding.arguments)
    field, quantity = str(told.get("field", "")), str(told.get("quantity_told", ""))
    if quantity:
        told["field"] = quantity if field == "reading" else BEFORE + quantity
        told["name"] = wording.capital(wording.quantity(quantity))
    elif field in (*SEVERAL, "who", "since"):
        told["option"] = f"'{phrase(f'trouble-{field}')}'"
    return replace(finding, arguments=told)


def _by_field(findings: tuple[Finding, ...]) -> Mapping[str, list[Finding]]:
    found: dict[str, list[Finding]] = {}
    for each in findings:
        found.setdefault(str(each.arguments.get("field", "")), []).append(each)
    return found
