"""What the server does for records that waited in a browser without a network."""

from __future__ import annotations

import io
import json
import re
from datetime import UTC, datetime

import pytest
from fake_ports import FakePorts
from PIL import Image
from starlette.testclient import TestClient

from watervane.app import add_tank, open_tank
from watervane.records import Entry, Note, Person
from watervane.web.assets import assets
from watervane.web.shell import ICONS, shell_version

NAME = "Study"
WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")
BY_OUTBOX = {"x-watervane-outbox": "1"}
AT = {"day": "2026-03-10", "hour": "19:30"}


@pytest.fixture
def tank(fake: FakePorts) -> str:
    return add_tank(Person(), fake.ports(), name=NAME, words=WORDS).receipt.tank


def entries(fake: FakePorts) -> tuple[Entry, ...]:
    return open_tank(Person(), NAME, fake.ports(), 100).entries


def test_a_script_is_told_where_it_was_kept_and_twice_is_once(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    sent = {"text": "From the cellar.", **AT, "request": "cellar"}
    for _ in range(2):
        answer = keeper.post(f"/tank/{tank}/record/note", data=sent, headers=BY_OUTBOX)
        assert answer.status_code == 200
        assert re.fullmatch(rf"/tank/{tank}\?kept=\d+#kept", answer.headers["x-watervane-kept"])
        assert "location" not in answer.headers
    assert len(entries(fake)) == 1


def test_what_is_wrong_is_told_as_to_anybody(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    sent = {"amount": "a lot", **AT, "request": "a"}
    answer = keeper.post(f"/tank/{tank}/record/feed", data=sent, headers=BY_OUTBOX)
    assert answer.status_code == 422
    assert 'id="amount-wrong"' in answer.text
    assert "x-watervane-kept" not in answer.headers
    assert entries(fake) == ()


@pytest.mark.parametrize("path", ["usual", "again/feed"])
def test_one_tap_that_had_to_wait_is_dated_by_the_tap(
    keeper: TestClient, fake: FakePorts, tank: str, path: str
) -> None:
    keeper.post(f"/tank/{tank}/record/feed", data={"amount": "2 pellets", **AT})
    sent = {"day": "2026-03-12", "hour": "07:05", "request": "tap"}
    assert keeper.post(f"/tank/{tank}/{path}", data=sent, headers=BY_OUTBOX).status_code == 200
    kept = entries(fake)[-1].what
    assert f"{kept.at:%Y-%m-%d %H:%M}" == "2026-03-12 07:05"
    wrong = {**sent, "hour": "noonish", "request": "other"}
    assert keeper.post(f"/tank/{tank}/{path}", data=wrong, headers=BY_OUTBOX).status_code == 422


def test_one_tap_without_scripts_is_dated_now(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    keeper.post(f"/tank/{tank}/usual", data={"request": "now"})
    (entry,) = entries(fake)
    assert isinstance(entry.what, Note)
    assert abs((datetime.now(UTC) - entry.what.at.astimezone(UTC)).total_seconds()) < 60


def test_only_forms_that_are_safe_to_send_later_are_caught(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    assert f'data-zone="{WORDS[2].partition("=")[2]}"' in keeper.get(f"/tank/{tank}/record").text
    keeper.post(f"/tank/{tank}/record/note", data={"text": "x", **AT})
    (entry,) = entries(fake)
    assert "data-outbox=" in keeper.get(f"/tank/{tank}/record/note").text
    right = keeper.get(f"/tank/{tank}/entry/{entry.number}").text
    assert 'data-outbox="Put right: x · Study"' in right
    assert "data-once" in right
    assert "data-zone" not in right, "the moment of an entry is never that of its sending"
    assert 'data-outbox="Undo: x · Study"' in keeper.get(f"/tank/{tank}").text
    for path in ("/new", f"/tank/{tank}/settings"):
        page = keeper.get(path).text
        assert "data-outbox=" not in page
        assert "data-online" in page


def test_a_correction_whose_answer_was_lost_is_kept_once(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    keeper.post(f"/tank/{tank}/record/note", data={"text": "x", **AT})
    (entry,) = entries(fake)
    path = f"/tank/{tank}/entry/{entry.number}"
    sent = {"text": "y", **AT, "request": "right"}
    for _ in range(2):
        assert keeper.post(path, data=sent, headers=BY_OUTBOX).status_code == 200
    assert [each.what.text for each in entries(fake)] == ["y"]
    late = keeper.post(path, data={**sent, "text": "z", "request": "late"}, headers=BY_OUTBOX)
    assert late.status_code == 409
    assert [each.what.text for each in entries(fake)] == ["y"]


def test_undoing_twice_is_done_once_and_what_fell_already_is_told_apart(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    keeper.post(f"/tank/{tank}/record/note", data={"text": "x", **AT})
    (entry,) = entries(fake)
    path = f"/tank/{tank}/entry/{entry.number}/undo"
    for _ in range(2):
        sent = keeper.post(path, data={"request": "undo", **AT}, headers=BY_OUTBOX)
        assert sent.headers["x-watervane-kept"] == f"/tank/{tank}?undone={entry.number}#kept"
    assert not any(each.standing for each in entries(fake))
    again = keeper.post(path, data={"request": "other"}, headers=BY_OUTBOX)
    assert again.status_code == 409
    assert "was corrected or undone before" in again.text


def test_as_last_time_records_what_its_button_said(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    keeper.post(f"/tank/{tank}/record/feed", data={"amount": "2 pellets", **AT})
    page = keeper.get(f"/tank/{tank}/record").text
    assert '<input type="hidden" name="amount" value="2 pellets">' in page
    keeper.post(f"/tank/{tank}/record/feed", data={"amount": "1 pinch", **AT})
    sent = {"request": "tap", "amount": "2 pellets", "every": "", **AT}
    assert keeper.post(f"/tank/{tank}/again/feed", data=sent).status_code == 303
    assert [each.what.raw for each in entries(fake)] == ["2 pellets", "1 pinch", "2 pellets"]


def test_the_shell_is_what_records_are_written_on_and_no_page_that_tells_of_water(
    keeper: TestClient, tank: str
) -> None:
    told = keeper.get("/shell.json").json()
    for path in (*told["files"], *told["pages"]):
        answer = keeper.get(path, follow_redirects=True)
        assert answer.status_code == 200, path
    assert f"/tank/{tank}/record/readings" in told["pages"]
    assert not {"/", f"/tank/{tank}", "/settings"} & set(told["pages"])
    page = keeper.get("/record", follow_redirects=True).text
    named = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', page))
    assert {path for path in named - set(told["files"]) if not path.endswith(".png")} == set()


def test_the_worker_is_named_by_all_files_and_is_asked_for_anew(keeper: TestClient) -> None:
    answer = keeper.get("/shell.js")
    assert answer.headers["content-type"].startswith("text/javascript")
    assert answer.headers["cache-control"] == "no-cache"
    assert f'VERSION = "{shell_version()}"' in answer.text
    assert "worker-src 'self'" in answer.headers["content-security-policy"]
    assert "manifest-src 'self'" in answer.headers["content-security-policy"]


def test_scripts_lead_to_the_scripts_they_import(keeper: TestClient) -> None:
    for name in ("outbox.js", "online.js"):
        paths = re.findall(r'from "(/static/[^"]+)"', assets()[name].data.decode())
        assert paths
        assert all(keeper.get(path).status_code == 200 for path in paths)


def test_it_can_be_installed_under_our_own_icons(keeper: TestClient) -> None:
    answer = keeper.get("/manifest.webmanifest")
    assert answer.headers["content-type"].startswith("application/manifest+json")
    told = json.loads(answer.text)
    assert (told["start_url"], told["scope"], told["display"]) == ("/", "/", "standalone")
    assert len(told["icons"]) == len(ICONS)
    for icon in told["icons"]:
        drawn = keeper.get(icon["src"])
        assert drawn.status_code == 200
        if icon["sizes"] != "any":
            size = tuple(map(int, icon["sizes"].split("x")))
            assert Image.open(io.BytesIO(drawn.content)).size == size


@pytest.mark.parametrize("path", ["/shell.js", "/shell.json", "/offline", "/manifest.webmanifest"])
def test_strangers_get_nothing_of_it(stranger: TestClient, path: str) -> None:
    assert stranger.get(path).status_code == 403
