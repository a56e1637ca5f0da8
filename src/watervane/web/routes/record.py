"""Write down what was read or done; what cannot be understood comes back as it was typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import BadInput, KeptWrite, Line, correct, list_tanks, undo
from watervane.app.doubting import BadLines, Doubted
from watervane.app.log import entry_of_tank
from watervane.app.recording import record_lines
from watervane.app.tank_page import LookedAt, look_at_tank
from watervane.records import Entry, Finding, Habit
from watervane.web.desk import AtDesk, Desk
from watervane.web.forms import KINDS, Field, FormKind, Told, again_text, filled_in, kind_of_entry
from watervane.web.forms.fields import BadField
from watervane.web.forms.readings import beside_steps
from watervane.web.forms.sure import SURE, sure_field, sure_of
from watervane.web.forms.upkeep import FOLDED
from watervane.web.forms.when import moment_typed, when_fields
from watervane.web.sent import PASSED, AsSent, Sent, moment_tapped, new_request
from watervane.wording import entry_label, entry_line, kept_told, phrase

routes = APIRouter()
Wrong = Mapping[str, Sequence[Finding]]


@dataclass(frozen=True, slots=True)
class Again:
    """What one tap records once more, as the page that shows it has it."""

    kind: str
    text: str
    fields: Sequence[Field]


@routes.get("/record")
def choose_tank(request: Request, desk: AtDesk) -> Response:
    """Which tank; the only one is not asked for."""
    tanks = list_tanks(desk.actor, desk.ports)
    if len(tanks) == 1:
        return RedirectResponse(f"/tank/{tanks[0].key}/record", 303)
    return desk.pages.page("record_where.html", request, tanks=tanks)


@routes.get("/tank/{key}/record")
def choose_kind(request: Request, desk: AtDesk, key: str, kept: str = "") -> Response:
    """What to record; the usual things in one tap."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    return desk.pages.page(
        "record.html",
        request,
        key=key,
        tank=looked.tank,
        usual=looked.usual,
        kinds=tuple(KINDS),
        kept_told=[kept_told(looked.tank.name, each) for each in desk.entries_named(key, kept)],
        again=[
            Again(kind, told, KINDS[kind].fields(looked.tank, looked.usual))
            for kind in KINDS
            if (told := again_text(kind, looked.usual))
        ],
        asking=new_request(),
    )


@routes.get("/tank/{key}/record/{kind}")
def ask(request: Request, desk: AtDesk, key: str, kind: str) -> Response:
    """The form of a kind, filled in from habit."""
    looked, form = look_at_tank(desk.actor, key, desk.ports), _kind(kind)
    fields = form.fields(looked.tank, looked.usual)
    return _form(request, desk, looked, form, (*fields, *when_fields(looked.now)))


@routes.post("/tank/{key}/record/{kind}")
def keep(request: Request, desk: AtDesk, sent: AsSent, key: str, kind: str) -> Response:
    """Keep it, or show the form again with what is wrong beside it."""
    looked, form = look_at_tank(desk.actor, key, desk.ports), _kind(kind)

    def write(told: list[Told]) -> KeptWrite:
        photos = sent.files.get("photo", ())
        lines = [replace(each.line, photos=photos if not index else ())
                 for index, each in enumerate(told)]  # fmt: skip
        sure = sure_of(sent.typed)
        return record_lines(desk.actor, key, lines, desk.ports, sent.request, sure)

    return _kept_or_asked_again(request, desk, looked, form, sent, write)


@routes.post("/tank/{key}/usual")
def keep_usual(desk: AtDesk, sent: AsSent, key: str) -> Response:
    """A usual week, nothing special: one tap."""
    line = Line("note", (f"text={phrase('record-usual-week')}",), moment_tapped(sent))
    kept = record_lines(desk.actor, key, [line], desk.ports, sent.request)
    return _to_tank(key, kept)


@routes.post("/tank/{key}/again/{kind}")
def keep_again(desk: AtDesk, sent: AsSent, key: str, kind: str) -> Response:
    """The same meal or water change as last time, now: one tap."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    form = _kind(kind)
    if again_text(kind, looked.usual) is None:
        raise HTTPException(404)
    typed = {each.name: each.value for each in form.fields(looked.tank, looked.usual)}
    typed |= {name: sent.typed[name] for name in typed if name in sent.typed}
    (told,) = form.lines(typed, looked.tank, looked.usual, moment_tapped(sent))
    return _to_tank(key, record_lines(desk.actor, key, [told.line], desk.ports, sent.request))


@routes.get("/tank/{key}/entry/{number}")
def ask_right(request: Request, desk: AtDesk, key: str, number: int) -> Response:
    """An entry with its form filled in, to be put right."""
    looked, entry, form = _entry(desk, key, number)
    happened = entry.what.template if isinstance(entry.what, Habit) else entry.what
    typed = {each.name: each.value for each in form.fields(looked.tank, looked.usual)}
    typed |= form.from_entry(entry.what)
    asked = _of_entry(form, entry, looked)
    fields = filled_in(asked, beside_steps(asked, typed), {})
    when = when_fields(happened.at, hour_known=happened.hour_known)
    return _form(request, desk, looked, form, (*fields, *when), entry=entry)


@routes.post("/tank/{key}/entry/{number}")
def put_right(request: Request, desk: AtDesk, sent: AsSent, key: str, number: int) -> Response:
    """Put the right thing in the place of an entry; sent twice, it is done once."""
    looked, entry, form = _entry(desk, key, number, standing=False)

    def write(told: list[Told]) -> KeptWrite:
        if not told:
            raise BadInput([Finding("record-nothing", "problem", {})])
        line = goes_on(told[0].line, entry, form)
        sure, at = sure_of(sent.typed), line.at
        return correct(
            desk.actor, number, line.words, desk.ports, at=at, request=sent.request, sure=sure
        )

    return _kept_or_asked_again(request, desk, looked, form, sent, write, entry)


@routes.post("/tank/{key}/entry/{number}/undo")
def take_back(desk: AtDesk, sent: AsSent, key: str, number: int) -> Response:
    """Undo an entry; the journal keeps both."""
    if entry_of_tank(desk.actor, key, number, desk.ports) is None:
        raise HTTPException(404)
    undo(desk.actor, desk.ports, number=number, request=sent.request)
    return RedirectResponse(f"/tank/{key}?undone={number}#kept", 303)


def goes_on(line: Line, entry: Entry, form: FormKind) -> Line:
    """A habit that is put right stays one, as often and as long as it was.

    Of meals alone the form asks how often, and only for those of every day.
    """
    habit = entry.what
    if not isinstance(habit, Habit):
        return line
    words = list(line.words)
    if not any(word.startswith("every=") for word in words):
        if habit.every_days == 1 and form.asks_how_often:
            return line
        words.append(f"every={habit.every_days:g} d")
    if habit.until is not None:
        words.append(f"until={habit.until}")
    return replace(line, words=tuple(words))


def _kept_or_asked_again(
    request: Request,
    desk: Desk,
    looked: LookedAt,
    form: FormKind,
    sent: Sent,
    write: Callable[[list[Told]], KeptWrite],
    entry: Entry | None = None,
) -> Response:
    wrong: dict[str, list[Finding]] = {}
    asked: tuple[Field, ...] = ()
    told: list[Told] = []
    try:
        told = form.lines(sent.typed, looked.tank, looked.usual, moment_typed(sent.typed))
        return _then(looked.key, write(told), sent)
    except BadField as error:
        wrong[error.name] = [error.finding]
    except BadLines as error:
        for index, findings in error.by_line.items():
            for finding in findings:
                wrong.setdefault(told[index].field_of(finding), []).append(finding)
        asked = (sure_field(error),) if isinstance(error, Doubted) else ()
    except BadInput as error:
        if any(finding.key == PASSED for finding in error.problems):
            raise
        for finding in error.problems:
            place = told[0].field_of(finding) if told else ""
            wrong.setdefault(place, []).append(finding)
    fields = (
        form.fields(looked.tank, looked.usual) if entry is None else _of_entry(form, entry, looked)
    )
    shown = (*filled_in((*fields, *when_fields(looked.now)), sent.typed, wrong), *asked)
    more = bool(sent.typed.get("then"))
    return _form(request, desk, looked, form, shown, wrong, entry, sent.request, more=more)


def _form(
    request: Request,
    desk: Desk,
    looked: LookedAt,
    form: FormKind,
    fields: Sequence[Field],
    wrong: Wrong | None = None,
    entry: Entry | None = None,
    asking: str = "",
    *,
    more: bool = False,
) -> Response:
    names = {each.name for each in fields}
    loose = [f for name, found in (wrong or {}).items() if name not in names for f in found]
    return desk.pages.page(
        "record_form.html",
        request,
        422 if wrong else 200,
        key=looked.key,
        tank=looked.tank,
        kind=form.name,
        fields=fields,
        folded=FOLDED.get(form.name, ()),
        loose=loose,
        wrong=bool(wrong),
        sure=next((each for each in fields if each.name.startswith(SURE)), None),
        entry=entry,
        entry_told=entry_line(entry, looked.now) if entry else "",
        entry_short=entry_label(entry.what) if entry else "",
        asking=asking or new_request(),
        more=more,
    )


def _kind(name: str) -> FormKind:
    if name not in KINDS:
        raise HTTPException(404)
    return KINDS[name]


def _entry(
    desk: Desk, key: str, number: int, *, standing: bool = True
) -> tuple[LookedAt, Entry, FormKind]:
    """An entry of this tank that can be corrected on a form."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    entry = entry_of_tank(desk.actor, key, number, desk.ports)
    form = None if entry is None else kind_of_entry(entry.what)
    if entry is None or form is None or (standing and not entry.standing):
        raise HTTPException(404)
    return looked, entry, form


def _of_entry(form: FormKind, entry: Entry, looked: LookedAt) -> tuple[Field, ...]:
    """The fields that an entry fills: of readings only the one quantity."""
    fields, filled = form.fields(looked.tank, looked.usual), form.from_entry(entry.what)
    return tuple(each for each in fields if form.name != "readings" or each.name in filled)


def _then(key: str, kept: KeptWrite, sent: Sent) -> Response:
    """Back to the tank, or on to what else can be recorded."""
    if not sent.typed.get("then"):
        return _to_tank(key, kept)
    told = ",".join(map(str, kept.receipt.entries))
    return RedirectResponse(f"/tank/{key}/record?kept={told}#kept", 303)


def _to_tank(key: str, kept: KeptWrite) -> Response:
    told = ",".join(map(str, kept.receipt.entries))
    return RedirectResponse(f"/tank/{key}?kept={told}#kept", 303)
