"""Recording in a cellar: what is written without a network waits, is seen, and is kept once."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

import pytest
from opened_pages import Opened, Scheme
from PIL import Image
from playwright.sync_api import Browser, Page, expect
from served_pages import Served, serving
from test_forecast_page import broken_rules

WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")
NO_NETWORK = re.compile(
    r"ERR_INTERNET_DISCONNECTED|ERR_FAILED|status of 422|Service Worker registration blocked|/work"
)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    from fake_ports import FakePorts

    from watervane.app import add_tank
    from watervane.records import Person

    folder = tmp_path_factory.mktemp("outbox")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WATERVANE_JOURNAL", str(folder / "journal.sqlite"))
        for name in ("Study", "Cellar"):
            add_tank(Person(), FakePorts().ports(), name=name, words=WORDS)
    with serving(folder) as found:
        yield found


def tank_of(page: Page, served: Served, name: str = "Study") -> str:
    page.goto(f"{served.address}/")
    return str(page.get_by_role("link", name=name, exact=True).get_attribute("href"))


def wait_until_held(page: Page, path: str) -> None:
    for _ in range(100):
        if page.evaluate("async path => Boolean(await caches.match(path))", path):
            return
        page.wait_for_timeout(200)
    pytest.fail(f"{path} is not kept by the browser")


def note(page: Page, text: str) -> None:
    page.get_by_label("What is worth keeping?").fill(text)
    page.get_by_role("button", name="Keep", exact=True).click()


def kept(page: Page, served: Served, tank: str, text: str, tries: int = 20) -> int:
    """How many entries of the journal hold these words."""
    found = page.locator(".entries li", has_text=text)
    for _ in range(tries):  # what waits may be sent by the very page that is looked at
        page.goto(f"{served.address}{tank}/log")
        if found.count():
            break
        page.wait_for_timeout(500)
    return found.count()


def test_what_is_written_without_a_network_waits_and_is_kept_once(
    told: Opened, served: Served
) -> None:
    page = told.page
    tank = tank_of(page, served)
    page.goto(f"{served.address}{tank}/record/note")
    page.context.set_offline(offline=True)
    for text in ("All lay still.", "All moved again."):
        note(page, text)
        expect(page.locator("#outbox-told")).to_contain_text("stays on this device")
    expect(page.locator("#outbox-title")).to_have_text("2 entries wait on this device")
    expect(page.locator("#outbox ol > li")).to_have_count(2)
    assert "Note or photo · Study" in page.locator("#outbox").inner_text()
    assert broken_rules(page) == []
    page.get_by_role("button", name="Send now").first.click()
    expect(page.locator("#outbox-told")).to_have_text("There is still no connection.")
    page.context.set_offline(offline=False)
    expect(page.locator("#outbox")).to_be_hidden()
    expect(page.locator("#outbox-told")).to_contain_text("Sent and kept")
    for text in ("All lay still.", "All moved again."):
        assert kept(page, served, tank, text) == 1
    assert [each for each in told.complaints if not NO_NETWORK.search(each)] == []


def test_an_answer_that_was_lost_on_the_way_is_asked_for_again_and_kept_once(
    told: Opened, served: Served
) -> None:
    page = told.page
    tank = tank_of(page, served)
    page.goto(f"{served.address}{tank}/record/note")
    lost = []

    def lose(route: object) -> None:
        route.fetch()  # the server has it
        lost.append(route.request.post_data)
        route.abort()

    page.route("**/record/note", lose)
    note(page, "Heard and not answered.")
    expect(page.locator("#outbox-title")).to_have_text("One entry waits on this device")
    page.unroute("**/record/note")
    page.get_by_role("button", name="Send now").click()
    expect(page.locator("#outbox")).to_be_hidden()
    assert len(lost) >= 1
    assert kept(page, served, tank, "Heard and not answered.") == 1


def test_it_outlasts_the_window_and_is_sent_by_the_next_page(told: Opened, served: Served) -> None:
    page = told.page
    tank = tank_of(page, served)
    page.goto(f"{served.address}{tank}/record")
    page.context.set_offline(offline=True)
    page.get_by_role("button", name="A usual week").click()
    expect(page.locator("#outbox ol > li")).to_have_count(1)
    page.close()
    page.context.set_offline(offline=False)
    other = page.context.new_page()
    other.goto(f"{served.address}/")
    expect(other.locator("#outbox-told")).to_contain_text("A usual week, nothing special · Study")
    assert kept(other, served, tank, "A usual week") == 1


def test_what_is_wrong_stands_at_the_waiting_entry_and_can_be_put_right(
    told: Opened, served: Served
) -> None:
    page = told.page
    tank = tank_of(page, served)
    page.goto(f"{served.address}{tank}/record/readings")
    page.context.set_offline(offline=True)
    page.get_by_label("Ammonia", exact=True).fill("7 bananas")
    page.get_by_label("pH", exact=True).fill("7.4")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.locator("#outbox ol > li")).to_have_count(1)
    page.context.set_offline(offline=False)
    expect(page.locator("#outbox .wrong")).to_contain_text("bananas")
    assert broken_rules(page) == []
    page.get_by_role("link", name="Put right").click()
    page.wait_for_url("**#mend=*")
    field = page.get_by_label("Ammonia", exact=True)
    expect(field).to_have_value("7 bananas")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_label("pH", exact=True)).to_have_value("7.4")
    expect(page.locator("#problems")).to_be_focused()
    assert broken_rules(page) == []
    field.fill("0.7")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.wait_for_url("**kept=*")
    expect(page.locator("#outbox")).to_be_hidden()
    assert kept(page, served, tank, "pH 7.4") == 1
    assert kept(page, served, tank, "ammonia 0.7") == 1


def test_it_is_discarded_only_when_it_was_said_twice(told: Opened, served: Served) -> None:
    page = told.page
    tank = tank_of(page, served)
    page.goto(f"{served.address}{tank}/record/note")
    page.context.set_offline(offline=True)
    note(page, "Written in error.")
    expect(page.locator("#outbox ol > li")).to_have_count(1)
    page.get_by_role("button", name=re.compile("^Discard ?:")).click()
    expect(page.get_by_role("button", name="Keep it")).to_be_focused()
    assert broken_rules(page) == []
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_role("button", name=re.compile("^Discard ?:"))).to_be_focused()
    expect(page.locator("#outbox ol > li")).to_have_count(1)
    page.get_by_role("button", name=re.compile("^Discard ?:")).click()
    page.get_by_role("button", name="Discard for good").click()
    expect(page.locator("#outbox")).to_be_hidden()
    page.context.set_offline(offline=False)
    assert kept(page, served, tank, "Written in error.", tries=2) == 0


def test_a_photo_waits_with_its_note_and_two_windows_send_it_once(
    told: Opened, served: Served
) -> None:
    page = told.page
    tank = tank_of(page, served)
    drawn = io.BytesIO()
    Image.new("RGB", (64, 48), "teal").save(drawn, "png")
    page.goto(f"{served.address}{tank}/record/note")
    other = page.context.new_page()
    other.goto(f"{served.address}{tank}/record")
    page.context.set_offline(offline=True)
    page.get_by_label("A photo").set_input_files(
        {"name": "bed.png", "mimeType": "image/png", "buffer": drawn.getvalue()}
    )
    page.get_by_label("Day").fill("2026-03-10")
    note(page, "The bed, seen from the side.")
    for each in (page, other):  # both windows show it, and both will send it
        expect(each.locator("#outbox ol > li")).to_have_count(1)
    page.context.set_offline(offline=False)
    for each in (page, other):
        expect(each.locator("#outbox")).to_be_hidden()
    assert kept(page, served, tank, "The bed, seen from the side.") == 1
    entry = page.locator(".entries li", has_text="The bed, seen from the side.")
    expect(entry).to_contain_text("10 March")
    photo = re.search(r"/entry/(\d+)", entry.inner_html())
    assert photo is not None
    answer = page.request.get(f"{served.address}{tank}/entry/{photo[1]}/photo")
    assert Image.open(io.BytesIO(answer.body())).size == (64, 48)


def test_a_form_that_is_wrong_comes_back_as_without_scripts(told: Opened, served: Served) -> None:
    page = told.page
    tank = tank_of(page, served)
    page.goto(f"{served.address}{tank}/record/feed")
    page.get_by_label("How much?").fill("a lot")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.locator("#problems")).to_be_focused()
    assert "Not kept yet" in page.title()
    expect(page.get_by_label("How much?")).to_have_value("a lot")
    expect(page.locator("#outbox")).to_be_hidden()
    page.get_by_label("How much?").fill("2 pellets")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.wait_for_url("**kept=*")


@pytest.mark.parametrize(
    ("width", "scheme"), [(360, "dark"), pytest.param(1440, "light", marks=pytest.mark.slow)]
)
def test_the_shell_opens_without_a_network_and_says_its_age(
    chromium: Browser, served: Served, width: int, scheme: Scheme
) -> None:
    told = served.visit(chromium, width, scheme)
    page = told.page
    tank = tank_of(page, served, "Cellar")
    page.evaluate("navigator.serviceWorker.ready.then(() => undefined)")
    page.goto(f"{served.address}/settings")
    wait_until_held(page, f"{tank}/record/note")
    held = page.evaluate(
        """async () => { const all = [];
          for (const name of await caches.keys())
            for (const { url } of await (await caches.open(name)).keys()) all.push(url);
          return all.map(each => new URL(each).pathname); }"""
    )
    water = [
        each for each in held if not re.search(r"^/static/|/record|/offline$|^/first-aid$", each)
    ]
    assert water == []
    page.context.set_offline(offline=True)
    for path in ("/", tank):
        page.goto(served.address + path)
        assert page.locator("h1").inner_text() == "No connection"
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert broken_rules(page) == []
    page.get_by_role("link", name="Cellar").click()
    page.get_by_role("link", name="Note or photo").click()
    expect(page.locator("#outbox-age")).to_contain_text("this page was kept on this device")
    assert broken_rules(page) == []
    names = []
    for text in ("First from the shell.", "Second from the shell."):
        names.append(page.locator("main [name='request']").get_attribute("value"))
        note(page, f"{text} {width}")
        expect(page.locator("#outbox-told")).to_contain_text("stays on this device")
    assert len(set(names)) == 2
    page.context.set_offline(offline=False)
    expect(page.locator("#outbox")).to_be_hidden()
    for text in ("First from the shell.", "Second from the shell."):
        assert kept(page, served, tank, f"{text} {width}") == 1
    page.context.close()
