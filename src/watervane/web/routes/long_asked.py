"""Questions that take long: headroom, ways to start, care, moving colonies. Answers are kept."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app.animals import animal_names
from watervane.app.care_sheet import care_sheet
from watervane.app.due import last_care
from watervane.app.questions import LongAnswer, ask_long, look_at_long, stop_long
from watervane.app.tank_page import LookedAt, look_at_tank
from watervane.charts import WordTable
from watervane.records import Finding, Headroom, Ways
from watervane.records.care import CareSchedule
from watervane.records.questions import CARE, HEADROOM, LONG, RESETTLE
from watervane.records.resettling import ColonyMove, Resettling
from watervane.web.desk import AtDesk, Desk
from watervane.web.downloads import as_file
from watervane.web.forms import Field, filled_in
from watervane.web.forms.fields import asked
from watervane.web.forms.moving import NAMES, move_fields, moved_as, typed_move
from watervane.web.forms.numbers import LENGTH, Typed
from watervane.web.routes.rehearsal import waiting_line
from watervane.web.sent import AsSent
from watervane.wording import (
    phrase,
    start_remarks,
    start_sentences,
    start_steps,
    start_table,
    start_title,
)
from watervane.wording.care import care_parts, care_title
from watervane.wording.dates import weekday_date
from watervane.wording.headroom import headroom_sentences, headroom_table, headroom_title
from watervane.wording.resettling import (
    resettling_sentences,
    resettling_steps,
    resettling_table,
    resettling_title,
)
from watervane.wording.tables import NumberTable

routes = APIRouter()
Wrong = Mapping[str, Sequence[Finding]]
NEVER_STARTED = "tank-never-started"  # it puts all that follows in another light


@routes.get("/tank/{key}/ask/{kind}", include_in_schema=False)
def show_long(request: Request, desk: AtDesk, key: str, kind: str, asked: int = 0) -> Response:
    """The last answer, dated, and how far a new one is."""
    if kind not in LONG:
        raise HTTPException(404)
    typed = dict(request.query_params)
    of = _read(kind, typed) if asked or kind == HEADROOM else _Of()
    found = look_at_long(desk.actor, key, kind, desk.ports, of.species, of.length_cm, of.move)
    return _page(request, desk, key, kind, found, typed, of.wrong, waiting=bool(asked))


@routes.post("/tank/{key}/ask/{kind}", include_in_schema=False)
def ask(request: Request, desk: AtDesk, sent: AsSent, key: str, kind: str) -> Response:
    """Have it worked out, and show how far that is."""
    if kind not in LONG:
        raise HTTPException(404)
    of = _read(kind, sent.typed)
    if of.wrong:
        found = look_at_long(desk.actor, key, kind, desk.ports)
        return _page(request, desk, key, kind, found, sent.typed, of.wrong, waiting=False)
    ask_long(desk.actor, key, kind, desk.ports, of.species, of.length_cm, of.move)
    names = NAMES if kind == RESETTLE else ("species", "length")
    told = {"asked": "1", **{name: sent.typed.get(name, "").strip() for name in names}}
    where = request.url_for("show_long", key=key, kind=kind).include_query_params(
        **{name: value for name, value in told.items() if value}
    )
    return RedirectResponse(f"{where.path}?{where.query}", 303)


@routes.post("/tank/{key}/ask/{kind}/stop", include_in_schema=False)
def stop(desk: AtDesk, sent: AsSent, key: str, kind: str) -> Response:
    """Nobody waits for it any more: something else may be asked."""
    del sent  # it tells nothing, but who sends it is checked
    if kind not in LONG:
        raise HTTPException(404)
    stop_long(desk.actor, key, kind, desk.ports)
    return RedirectResponse(f"/tank/{key}/ask/{kind}", 303)


@routes.get("/tank/{key}/ask/care/sheet", include_in_schema=False)
def take_sheet(desk: AtDesk, key: str) -> Response:
    """The last care to print."""
    tank = look_at_tank(desk.actor, key, desk.ports).tank
    told = last_care(desk.actor, key, desk.ports)
    if told is None:
        raise HTTPException(404)
    printed = desk.ports.care.sheet_pdf(care_sheet(told, tank))
    return as_file(printed, f"{tank.name} care", ".pdf", "application/pdf")


@dataclass(frozen=True, slots=True)
class _Of:
    """What a question is of, as typed, and what is wrong with that."""

    species: str | None = None
    length_cm: float | None = None
    move: ColonyMove | None = None
    wrong: Wrong = field(default_factory=dict)


def _read(kind: str, typed: Mapping[str, str]) -> _Of:
    if kind == RESETTLE:
        found = typed_move(typed)
        return _Of(move=found.move, wrong=found.wrong)
    told = Typed(typed, {"length": LENGTH})
    length = told.number("length", 0.3, 100.0, None)
    species = told.typed.get("species", "") or None
    if species is None and told.typed.get("length"):
        told.wrong["species"] = [Finding("form-needed", "problem")]
    return _Of(species, length, wrong=told.wrong)


def _page(
    request: Request,
    desk: Desk,
    key: str,
    kind: str,
    found: LongAnswer,
    typed: Mapping[str, str],
    wrong: Wrong,
    *,
    waiting: bool,
) -> Response:
    looked = look_at_tank(desk.actor, key, desk.ports)
    line = ""
    if found.running is not None:
        now = found.running[1]
        paced = desk.pace.look(f"{kind} {key}", now.stage, now.share, time.monotonic())
        line = waiting_line(now, paced)
    why = found.answer.why if waiting else ()
    about = ((str(each.arguments.get("field", "")), each) for each in why)
    refused = {name: [each] for name, each in about if name}
    fields = _fields(looked, kind, found, typed, wrong or refused)
    return desk.pages.page(
        "long_asked.html",
        request,
        422 if wrong else 200,
        key=key,
        kind=kind,
        tank=looked.tank,
        fields=fields,
        wrong=bool(wrong or refused),
        sheet=kind == CARE and found.kept is not None,
        line=line,
        running=_running(found),
        why=() if refused else why,
        made="" if line and found.kept is None else _made(found, looked.tank.time_zone),
        **_told(found),
        before=_harm_now(looked, found) if kind == CARE else (),
    )


def _harm_now(looked: LookedAt, found: LongAnswer) -> tuple[str, ...]:
    """That today comes first, where the newest judgement finds harm at once too likely."""
    today = None if looked.judged is None else looked.judged.today
    leading = None if today is None else today.verdict.leading
    if today is None or leading is None or leading.tier != "acute":
        return ()
    if leading.soon <= today.allowed.acute:
        return ()
    told = None if found.kept is None else found.kept.told
    back = told.returning if isinstance(told, CareSchedule) else None
    smaller = (phrase("care-harm-smaller"),) if back is not None and back.steps else ()
    return (phrase("care-harm-first"), *smaller)


def _running(found: LongAnswer) -> str:
    """Of whom is asked what is being worked out."""
    asked = None if found.running is None else found.running[0].species
    return "" if asked is None else phrase("long-of", species=asked)


def _fields(
    looked: LookedAt, kind: str, found: LongAnswer, typed: Mapping[str, str], wrong: Wrong
) -> tuple[Field, ...]:
    """What is asked; a move that was asked about last stands in its form."""
    if kind == RESETTLE:
        last = None if found.kept is None else found.kept.question.move
        return move_fields(typed if typed or last is None else moved_as(last), wrong)
    if kind != HEADROOM:
        return ()
    animals = animal_names(looked.tank.own_animals, looked.usual.animals)
    hints = {name: phrase(f"form-headroom-{name}-hint") for name in ("species", "length")}
    fields = (
        asked(HEADROOM, "species", "text", hint=hints["species"], suggested=tuple(animals)),
        asked(HEADROOM, "length", "number", hint=hints["length"], short=True),
    )
    before = None if found.kept is None else found.kept.question
    if not typed and before is not None:  # what was asked last stands in its form
        length = "" if before.length_cm is None else f"{before.length_cm:g}"
        typed = {"species": before.species or "", "length": length}
    return filled_in(fields, typed, wrong)


def _made(found: LongAnswer, zone: str) -> str:
    if found.kept is None:
        return phrase("long-none")
    at = found.kept.made_at.astimezone(ZoneInfo(zone))
    told = {"date": weekday_date(at, beside=at), "clock": f"{at:%H:%M}"}
    return phrase("long-made" if found.current else "long-behind", **told)


def _told(found: LongAnswer) -> dict[str, Any]:
    """What the last answer says, in words and tables."""
    told = None if found.kept is None else found.kept.told
    if isinstance(told, Headroom):
        first = [each for each in told.findings if each.key == NEVER_STARTED]
        later = [each for each in told.findings if each not in first]
        return {
            "title": headroom_title(told),
            "first": first,
            "sentences": headroom_sentences(told),
            "steps": (),
            "table": _table(headroom_table(told)),
            "sections": (),
            "remarks": (),
            "findings": (*later, *told.diagnostics.findings),
        }
    if isinstance(told, Ways):
        return {
            "title": start_title(told),
            "first": (),
            # But the one that leads from one command to another.
            "sentences": [each for each in start_sentences(told) if each != phrase("start-today")],
            "steps": start_steps(told),
            "table": _table(start_table(told)),
            "sections": (),
            "remarks": start_remarks(told),
            "findings": told.diagnostics.findings,
        }
    if isinstance(told, CareSchedule):
        return _cared(told)
    if isinstance(told, Resettling):
        return _resettled(told)
    return {"title": "", "first": (), "sentences": (), "steps": (), "table": None, "sections": (),
            "remarks": (), "findings": ()}  # fmt: skip


def _cared(told: CareSchedule) -> dict[str, Any]:
    """The first part as the answer itself, the others under their headings."""
    whole = care_parts(told)
    first = [each for each in told.findings if each.key == NEVER_STARTED]
    return {
        "title": care_title(told),
        "first": first,
        "sentences": whole[0].sentences,
        "steps": (),
        "table": None,
        "sections": [
            {
                "title": part.title,
                "sentences": part.sentences,
                "steps": part.steps,
                "tables": [_table(each) for each in part.tables],
            }
            for part in whole[1:]
        ],
        "remarks": (),
        "findings": (
            *(each for each in told.findings if each not in first),
            *told.diagnostics.findings,
        ),
    }


def _resettled(told: Resettling) -> dict[str, Any]:
    """What travels and comes of it, then the day, then the other ways."""
    day = {
        "title": phrase("resettle-day"),
        "sentences": (),
        "steps": resettling_steps(told),
        "tables": [_table(resettling_table(told))],
    }
    return {
        "title": resettling_title(told),
        "first": (),
        "sentences": resettling_sentences(told),
        "steps": (),
        "table": None,
        "sections": [day],
        "remarks": (),
        "findings": told.diagnostics.findings,
    }


def _table(table: NumberTable) -> WordTable:
    return WordTable(table.title, table.caption, table.headers, table.rows)
