"""Every form there is: bad words come back on the same page, at their field, with all else typed.

The forms are those of all pages that links lead to; a route that is posted to and met by no form
fails the test, so a new one cannot be forgotten.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from html import escape
from html.parser import HTMLParser
from uuid import uuid4

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from starlette.testclient import TestClient
from web_club import calm_day, computed
from web_keeper import ADDRESS, OURS, PORT

from watervane.app import Line, add_tank, record
from watervane.app.putting_away import put_away
from watervane.records import Person
from watervane.web import Gate, make_app
from watervane.web.routes import ROUTES

NONSENSE = "zwölf? @@ <b>"
ALIKE = re.compile(r"[0-9a-f]{32}|\d+")
NEVER = ("/photo", "/enter", "/static/", "/pair", ".svg", ".json", ".pdf", ".ics", ".toml", ".html")
# What may be any words at all, and is kept as it was typed: names, reasons, remarks, memories.
ANY_WORDS = frozenset({"name", "text", "why", "kit", "substance", "label"})
NUMBERS = {"/blueprint": frozenset({"label"})}  # there of a filter: litres
# An animal that no table knows may be asked about: the answer says what it was taken for.
ANY_ANIMAL = frozenset(
    {"/blueprint", "/tank/x/bring-home", "/tank/x/ask/headroom", "/dose", "/quarantine"}
)
# Sent by another button than the form's own, read as a whole, or told beside what is shown all the
# same; tests of their pages try them.
ELSEWHERE = frozenset({("/blueprint", "filled"), ("/new", "table"), ("/tank/x/log", "until")})
# Without these a form is asked for them first; beside some fields others must stand.
NEEDED: dict[str, dict[str, str]] = {
    "/new": {"name": "Bay", "size": "57", "age": "weeks"},
    "/blueprint": {"length": "60 cm", "width": "30 cm", "height": "36 cm"},
    "/dose": {"substance": "sodium bicarbonate", "label": "5 mL per 40 L", "volume": "57 L"},
    "/quarantine": {"volume": "40 L"},
    "/tank/x/settings/began": {"fed": "dosed", "brought": "media"},
    "/tank/x/bring-home": {"species": "Danio rerio"},
}
BESIDE: dict[tuple[str, str], dict[str, str]] = {
    **{("/new", f"{what}-{row}"): {f"species-{row}": "Danio rerio", f"count-{row}": "3"}
       for row in (1, 2, 3) for what in ("species", "count", "length")},
    ("/new", "times"): {"food": "1 pinch"},
    ("/new", "fed-much"): {"fed": "dosed"},
    ("/new", "brought-much"): {"brought": "media"},
    ("/blueprint", "corners"): {"shape": "polygon"},
    **{("/blueprint", f"under-{each}"): {"under": "soil"} for each in ("front", "back", "grain")},
    **{("/blueprint", each): {"kh": "3", "wish": "soft"} for each in ("bucket", "scale")},
    **{("/source-water", each): {"kh": "3", "wish": "soft"} for each in ("bucket", "scale")},
    ("/blueprint", "change"): {"species-1": "Danio rerio", "count-1": "6"},
    ("/tank/x/rehearsal", "size-1"): {"what-1": "power-cut"},
    ("/tank/x/rehearsal", "size-2"): {"what-2": "power-cut"},
    **{("/tank/x/settings/fitted", each): {"flow": "300", "power": "50"}
       for each in ("since", "since-flow", "since-media", "since-bed", "since-plants")},
    ("/tank/x/record/animals", "species"): {"count": "3"},
    ("/tank/x/ask/headroom", "length"): {"species": "Danio rerio"},
}  # fmt: skip
# Posted to by buttons alone: nothing can be typed there.
BUTTONS = frozenset({"usual", "again", "undo", "done", "out", "stop", "revoke", "pair", "put-away",
                     "bring-back", "look", "units", "calendar", "start"})  # fmt: skip


@dataclass
class Form:
    """A form as it stands on a page."""

    page: str
    action: str
    method: str
    typed: dict[str, str] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)  # fields that words are typed into
    files: list[str] = field(default_factory=list)

    @property
    def kind(self) -> str:
        """The same for forms of other tanks and entries."""
        return f"{self.method} {ALIKE.sub('x', self.action)}"


class Forms(HTMLParser):
    """All forms of a page, what stands in them, and what is marked as wrong."""

    def __init__(self, page: str, text: str) -> None:
        super().__init__()
        self.page, self.forms, self.links = page, list[Form](), list[str]()
        self.ids, self._area, self._list = set[str](), "", ""
        self.invalid = set[str]()
        self.feed(text)

    def wrong(self, names: Iterable[str]) -> list[str]:
        """Those of these fields that something is said at."""
        return [each for each in names if f"{each}-wrong" in self.ids or each in self.invalid]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        self.ids.add(told.get("id", ""))
        if "aria-invalid" in told:
            self.invalid.add(told.get("name", ""))
        if tag == "a":
            self.links.append(told.get("href", ""))
        if tag == "form":
            action = told.get("action", self.page).partition("#")[0]
            self.forms.append(Form(self.page, action, told.get("method", "get")))
        if not self.forms or not told.get("name"):
            if tag == "option" and self._list and "selected" in told:
                self.forms[-1].typed[self._list] = told.get("value", "")
            return
        form, name, kind = self.forms[-1], told["name"], told.get("type", "text")
        if tag == "select":
            self._list = name
        elif tag == "textarea":
            form.asked.append(name)
            form.typed[name], self._area = "", name
        elif tag == "input" and kind in ("radio", "checkbox"):
            if "checked" in told:
                form.typed[name] = told.get("value", "on")
        elif tag == "input" and kind == "file":
            form.files.append(name)
        elif tag == "input":
            form.typed[name] = told.get("value", "")
            if kind not in ("hidden", "range"):
                form.asked.append(name)

    def handle_data(self, data: str) -> None:
        if self._area:
            self.forms[-1].typed[self._area] += data

    def handle_endtag(self, tag: str) -> None:
        self._area = "" if tag == "textarea" else self._area
        self._list = "" if tag == "select" else self._list


@pytest.fixture(scope="module")
def keeper(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A keeper with a tank that was foretold, one put away, and all kinds of entries."""
    folder = tmp_path_factory.mktemp("forms")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WATERVANE_JOURNAL", str(folder / "journal.sqlite"))
        fake = FakePorts()
        ports = fake.ports()
        filled = ports.journal.now().date() - timedelta(days=30)
        words = (f"filled={filled}", "volume=57 L", "time_zone=Europe/Lisbon")
        for name in ("Study", "Old"):
            made = add_tank(Person(), ports, name=name, words=words)
        put_away(Person(), made.receipt.tank, ports)
        for kind, line in (("reading", ("ammonia", "0.7 mg/L")), ("water-change", ("25 %",))):
            record(Person(), "Study", Line(kind, line), ports)
        computed(fake, {"Study": calm_day()}, sample_forecast())
        gate = Gate(PORT)
        pages = TestClient(make_app(ports, gate), ADDRESS, follow_redirects=False)
        pages.get(gate.launch_address)
        pages.headers.update(OURS)
        yield pages


@pytest.fixture(scope="module")
def forms(keeper: TestClient) -> dict[str, Form]:
    """One form of each kind, of all pages that links lead to."""
    waiting, seen, found = ["/", "/source-water", "/new"], set[str](), dict[str, Form]()
    while waiting:
        path = waiting.pop(0).partition("#")[0]
        kind = ALIKE.sub("x", path.partition("?")[0])
        if not path.startswith("/") or kind in seen or any(each in path for each in NEVER):
            continue
        seen.add(kind)
        answer = keeper.get(path)
        if answer.status_code != 200:
            waiting.append(answer.headers.get("location", "").removeprefix(ADDRESS))
            continue
        page = Forms(path, answer.text)
        waiting += page.links
        for form in page.forms:
            found.setdefault(form.kind, form)
    return found


def words_for(form: Form, names: list[str]) -> Iterator[tuple[str, dict[str, str]]]:
    """For each field that is read: what stands beside it so that it is."""
    where = ALIKE.sub("x", form.action)
    loose = ANY_WORDS - NUMBERS.get(where, frozenset())
    beside = {each: f"kept {each}" for each in form.asked if each in loose}
    for name in names:
        animal = where in ANY_ANIMAL and (name.startswith("species") or name == "animals")
        if name not in loose and not animal and (where, name) not in ELSEWHERE:
            needed = NEEDED.get(where, {}) | BESIDE.get((where, name), {})
            yield name, {**form.typed, **beside, **needed, name: NONSENSE}


def answered(keeper: TestClient, form: Form, typed: dict[str, str]) -> tuple[int, Forms, str]:
    """What comes of a form as it is sent."""
    if "request" in typed:
        typed = {**typed, "request": uuid4().hex}
    if form.method == "post":
        answer = keeper.post(form.action, data=typed)
    else:
        answer = keeper.get(form.action, params=typed)
    return answer.status_code, Forms(form.page, answer.text), answer.text


def test_every_route_that_is_posted_to_is_met_by_a_form(forms: dict[str, Form]) -> None:
    actions = [form.action for form in forms.values() if form.method == "post"]
    for routes in ROUTES:
        for route in routes.routes:
            if "POST" not in route.methods or any(f"/{each}" in route.path for each in BUTTONS):
                continue
            assert any(route.path_regex.match(action) for action in actions), route.path


def test_a_form_full_of_bad_words_comes_back_with_all_of_them(
    keeper: TestClient, forms: dict[str, Form]
) -> None:
    wrong: list[str] = []
    tried = 0
    for kind, form in forms.items():
        bad = dict(words_for(form, form.asked))
        if not bad:
            continue
        tried += 1
        first = next(iter(bad.values()))
        status, page, _ = answered(keeper, form, {**first, **dict.fromkeys(bad, NONSENSE)})
        typed = {key: value for each in page.forms for key, value in each.typed.items()}
        lost = [name for name in bad if typed.get(name) != NONSENSE]
        if status != 422 or not page.wrong(bad) or lost:
            wrong.append(f"{kind}: {status}, wrong at {page.wrong(bad)}, lost {lost}")
    assert tried > 20
    assert not wrong, "\n".join(wrong)


@pytest.mark.slow
def test_each_bad_word_comes_back_at_its_own_field(
    keeper: TestClient, forms: dict[str, Form]
) -> None:
    wrong: list[str] = []
    tried = 0
    for kind, form in forms.items():
        for name, words in words_for(form, form.asked):
            tried += 1
            status, page, text = answered(keeper, form, words)
            typed = {key: value for each in page.forms for key, value in each.typed.items()}
            if status != 422:
                wrong.append(f"{kind} {name}: {status}")
            elif name not in page.wrong((name,)):
                wrong.append(f"{kind} {name}: nothing at its field")
            elif typed.get(name) != NONSENSE and escape(NONSENSE) not in text:
                wrong.append(f"{kind} {name}: not kept but {typed.get(name)!r}")
            for each, value in words.items():
                if value.startswith("kept ") and typed.get(each) != value:
                    wrong.append(f"{kind} {name}: {each} is lost")
    assert tried > 100
    assert not wrong, "\n".join(wrong)
