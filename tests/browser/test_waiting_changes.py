"""Upkeep, corrections, undoing and steps done without a network; and what cannot wait says so."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
from opened_pages import Opened, Scheme
from playwright.sync_api import Browser, Page, expect
from served_pages import Served, serving
from test_forecast_page import broken_rules
from test_outbox_page import NO_NETWORK, kept, tank_of

WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    from fake_ports import FakePorts
    from web_club import calm_day, computed

    from watervane.app import Line, add_tank, record
    from watervane.records import Person

    folder = tmp_path_factory.mktemp("waiting")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WATERVANE_JOURNAL", str(folder / "journal.sqlite"))
        fake = FakePorts()
        for name in ("Study", "Cellar"):
            add_tank(Person(), fake.ports(), name=name, words=WORDS)
        for name in ("Study", "Cellar"):
            at = datetime.now(UTC) - timedelta(days=2)
            for text in ("The first note.", "The second note."):
                record(Person(), name, Line("note", (f"text={text}",), at), fake.ports())
        computed(fake, {"Study": calm_day(), "Cellar": calm_day()})
    with serving(folder) as found:
        yield found


def waiting(page: Page, label: str) -> None:
    line = page.locator("#outbox ol > li", has_text=label)
    expect(line).to_have_count(1)


def test_each_form_of_upkeep_waits_and_is_kept_once(told: Opened, served: Served) -> None:
    page = told.page
    tank = tank_of(page, served, "Cellar")
    forms = {
        "top-off": ("How much?", "2", "2 L topped off"),
        "media": ("How much of the media?", "a third", "33 % of the media moved"),
        "treatment": ("With what?", "praziquantel", "treatment with praziquantel"),
        "equipment": ("Heater set to", "26", "heater set to 26"),
    }
    for kind, (label, text, entry) in forms.items():
        page.goto(f"{served.address}{tank}/record/{kind}")
        page.context.set_offline(offline=True)
        page.get_by_label(label).fill(text)
        page.get_by_role("button", name="Keep", exact=True).click()
        expect(page.locator("#outbox-told")).to_contain_text("stays on this device")
        expect(page.locator("#outbox ol > li")).to_have_count(1)
        page.context.set_offline(offline=False)
        expect(page.locator("#outbox")).to_be_hidden()
        assert kept(page, served, tank, entry) == 1


def test_an_undo_waits_is_seen_and_done_once(told: Opened, served: Served) -> None:
    page = told.page
    tank = tank_of(page, served)
    page.goto(f"{served.address}{tank}")
    entry = page.locator(".entries li", has_text="The first note.")
    page.context.set_offline(offline=True)
    entry.get_by_role("button").click()
    waiting(page, "Undo: The first note. · Study")
    expect(page.locator("#outbox")).to_be_focused()
    expect(entry.get_by_role("button")).to_be_disabled()
    expect(entry).to_contain_text("waits on this device")
    assert broken_rules(page) == []
    page.context.set_offline(offline=False)
    expect(page.locator("#outbox")).to_be_hidden()
    page.goto(f"{served.address}{tank}/log")
    expect(page.locator(".entries li.fallen", has_text="The first note.")).to_have_count(1)
    assert [each for each in told.complaints if not NO_NETWORK.search(each)] == []


def test_what_was_discarded_can_be_pressed_again(told: Opened, served: Served) -> None:
    page = told.page
    tank = tank_of(page, served, "Cellar")
    page.goto(f"{served.address}{tank}")
    entry = page.locator(".entries li", has_text="The first note.")
    page.context.set_offline(offline=True)
    entry.get_by_role("button").click()
    expect(entry.get_by_role("button")).to_be_disabled()
    page.get_by_role("button", name=re.compile("^Discard ?:")).click()
    page.get_by_role("button", name="Discard for good").click()
    expect(entry.get_by_role("button")).to_be_enabled()
    expect(entry).not_to_contain_text("waits on this device")


def test_a_correction_waits_with_the_moment_of_its_entry(told: Opened, served: Served) -> None:
    page = told.page
    tank = tank_of(page, served)
    page.goto(f"{served.address}{tank}")
    page.locator(".entries li", has_text="The second note.").get_by_role("link").click()
    page.wait_for_url("**/entry/*")
    day = page.get_by_label("Day").input_value()
    page.context.set_offline(offline=True)
    page.get_by_label("What is worth keeping?").fill("The second note, put right.")
    page.get_by_role("button", name="Put right").click()
    waiting(page, "Put right: ")
    expect(page.get_by_role("button", name="Put right", exact=True)).to_be_disabled()
    page.context.set_offline(offline=False)
    expect(page.locator("#outbox")).to_be_hidden()
    assert kept(page, served, tank, "The second note, put right.") == 1
    page.locator(".entries li", has_text="put right.").get_by_role("link").click()
    expect(page.get_by_label("Day")).to_have_value(day)


def test_what_fell_elsewhere_meanwhile_is_said_at_what_waited(told: Opened, served: Served) -> None:
    page = told.page
    tank = tank_of(page, served, "Cellar")
    page.goto(f"{served.address}{tank}")
    entry = page.locator(".entries li", has_text="The second note.")
    path = entry.locator("form").get_attribute("action")
    page.context.set_offline(offline=True)
    entry.get_by_role("button").click()
    waiting(page, "Undo: The second note. · Cellar")
    origin = {"origin": served.address}
    with_network = page.request.post(f"{served.address}{path}", headers=origin)
    assert with_network.ok
    page.context.set_offline(offline=False)
    expect(page.locator("#outbox .wrong")).to_contain_text("elsewhere in the meantime")
    expect(page.get_by_role("link", name=re.compile("^Put right"))).to_have_count(0)
    assert broken_rules(page) == []
    page.get_by_role("button", name=re.compile("^Discard ?:")).click()
    page.get_by_role("button", name="Discard for good").click()
    expect(page.locator("#outbox")).to_be_hidden()


def test_a_step_done_in_the_cellar_is_recorded_as_the_page_showed_it(
    told: Opened, served: Served
) -> None:
    page = told.page
    tank = tank_of(page, served)
    page.goto(f"{served.address}{tank}")
    done = page.locator(".steps form").first
    page.context.set_offline(offline=True)
    done.get_by_role("button").click()
    waiting(page, "Done: ")
    expect(done.get_by_role("button")).to_be_disabled()
    page.context.set_offline(offline=False)
    expect(page.locator("#outbox")).to_be_hidden()
    assert kept(page, served, tank, "water change 35 %") == 1


@pytest.mark.parametrize(
    ("width", "scheme"), [(360, "dark"), pytest.param(1440, "light", marks=pytest.mark.slow)]
)
def test_setting_up_says_that_it_needs_a_network_and_keeps_what_was_typed(
    chromium: Browser, served: Served, width: int, scheme: Scheme
) -> None:
    told = served.visit(chromium, width, scheme, service_workers="block")
    page = told.page
    page.goto(f"{served.address}/new")
    name = f"Attic {width}"
    page.get_by_label("What do you call it?").fill(name)
    page.get_by_label("How large is it?").fill("57 L")
    page.get_by_label("If you do not know the day").select_option("weeks")
    page.context.set_offline(offline=True)
    page.get_by_role("button", name="Set it up").click()
    said = page.locator("form[action='/new'] [data-part='online']")
    expect(said).to_contain_text("No connection, and this cannot wait")
    expect(said).to_be_focused()
    expect(page.get_by_label("What do you call it?")).to_have_value(name)
    assert broken_rules(page) == []
    page.context.set_offline(offline=False)
    page.reload()
    expect(page.get_by_label("What do you call it?")).to_have_value(name)
    expect(page.get_by_label("How large is it?")).to_have_value("57 L")
    page.get_by_label("How large is it?").fill("a lot")
    page.get_by_role("button", name="Set it up").click()
    expect(page.locator("#problems")).to_be_focused()
    expect(page.get_by_label("What do you call it?")).to_have_value(name)
    page.get_by_label("How large is it?").fill("57 L")
    page.get_by_role("button", name="Set it up").click()
    page.wait_for_url("**begun=1")
    page.context.close()


@pytest.mark.parametrize(
    ("width", "scheme"), [(360, "light"), pytest.param(1440, "dark", marks=pytest.mark.slow)]
)
def test_a_table_is_looked_at_before_a_tank_begins_with_it(
    chromium: Browser, served: Served, width: int, scheme: Scheme
) -> None:
    told = served.visit(chromium, width, scheme, service_workers="block")
    page = told.page
    page.goto(f"{served.address}/new")
    name = f"Loft {width}"
    page.get_by_label("What do you call it?").fill(name)
    page.get_by_label("When was it filled?").fill("2026-03-01")
    page.get_by_text("Bring a table along").click()
    table = b"Date;NO2 (mg/l);Mood\n12.3.2026;0,25;calm\n13.3.2026;lots;\n"
    page.get_by_label("The table as a file").set_input_files(
        {"name": "log.csv", "mimeType": "text/csv", "buffer": table}
    )
    page.get_by_role("button", name="Set it up").click()
    mood = page.get_by_label("Column 'Mood' is")
    expect(mood).to_have_attribute("aria-invalid", "true")
    expect(page.locator(".table-shown")).to_be_focused()
    expect(page.get_by_label("What do you call it?")).to_have_value(name)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert broken_rules(page) == []
    mood.select_option("note")
    page.get_by_role("button", name="Set it up").click()
    expect(page.locator(".table-shown .problems")).to_contain_text("line 3, column 'NO2 (mg/l)'")
    page.get_by_label("The table as text").fill(table.decode().replace("lots", "0,5"))
    page.get_by_role("button", name="Set it up").click()
    expect(page.locator(".table-shown")).to_contain_text("begin with 3 entries")
    assert broken_rules(page) == []
    page.get_by_role("button", name="Set it up").click()
    page.wait_for_url("**begun=1")
    expect(page.locator(".entries li", has_text="nitrite 0.5")).to_have_count(1)
    assert [each for each in told.complaints if not NO_NETWORK.search(each)] == []
    page.context.close()
