"""A second browser is paired over TLS, keeps the shell, records offline, and is let in no more."""

from __future__ import annotations

import base64
import hashlib
import socket
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from opened_pages import Opened, Scheme, browser_program, listened_to
from playwright.sync_api import Browser, Error, Page, expect
from served_pages import Served, serving
from test_forecast_page import SMALLEST_LETTERS, broken_rules

WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")
NAME = f"{socket.gethostname().partition('.')[0].lower()}.local"
WINDOWS = [
    (360, "light"),
    pytest.param(360, "dark", marks=pytest.mark.slow),
    pytest.param(1440, "light", marks=pytest.mark.slow),
    pytest.param(1440, "dark", marks=pytest.mark.slow),
]
LEAST_LETTER_PX = 11


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    from fake_ports import FakePorts

    from watervane.app import add_tank
    from watervane.records import Person

    folder = tmp_path_factory.mktemp("shared")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WATERVANE_JOURNAL", str(folder / "journal.sqlite"))
        add_tank(Person(), FakePorts().ports(), name="Study", words=WORDS)
    with serving(folder, "--share", "--share-port", "0") as found:
        yield found


@pytest.fixture(scope="module")
def address(served: Served) -> str:
    """Of the shared pages, by the name of this machine."""
    return f"https://{NAME}:{urlsplit(served.shared).port}"


@pytest.fixture(scope="module")
def trusting(chromium: Browser, served: Served) -> Iterator[Browser]:
    """A browser for which the certificate of these pages counts as any other; it finds the name."""
    leaf = x509.load_pem_x509_certificate((served.folder / "sharing" / "pages.pem").read_bytes())
    key = leaf.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    pin = base64.b64encode(hashlib.sha256(key).digest()).decode()
    browser = chromium.browser_type.launch(
        executable_path=browser_program(),
        args=[
            "--no-sandbox",
            f"--ignore-certificate-errors-spki-list={pin}",
            f"--host-resolver-rules=MAP {NAME} 127.0.0.1",
        ],
    )
    yield browser
    browser.close()


def window(browser: Browser, width: int = 360, scheme: Scheme = "light") -> Opened:
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
    return listened_to(context.new_page())


def code_of(home: Page, served: Served) -> str:
    home.goto(f"{served.address}/settings")
    home.get_by_role("button", name="Let a phone in").click()
    return home.locator("code.code").inner_text()


def paired(browser: Browser, home: Page, served: Served, address: str, name: str) -> Opened:
    told = window(browser)
    told.page.goto(f"{address}/pair?code={code_of(home, served)}")
    told.page.get_by_label("What do you call this device?").fill(name)
    told.page.get_by_role("button", name="Pair it").click()
    told.page.wait_for_url(f"{address}/")
    return told


def test_a_phone_is_paired_records_without_a_network_and_is_let_in_no_more(
    chromium: Browser, trusting: Browser, served: Served, address: str
) -> None:
    home = served.visit(chromium, 1440, "light").page
    told = paired(trusting, home, served, address, "Kitchen phone")
    phone = told.page
    expect(phone.get_by_role("link", name="Study")).to_be_visible()
    assert phone.evaluate("isSecureContext")
    scope = phone.evaluate("navigator.serviceWorker.ready.then(each => each.scope)")
    assert scope == f"{address}/"
    errors = phone.context.new_cdp_session(phone).send("Page.getInstallabilityErrors")
    told_errors = [each["errorId"] for each in errors["installabilityErrors"]]
    assert [each for each in told_errors if each != "in-incognito"] == []
    assert told.complaints == []

    tank = str(phone.get_by_role("link", name="Study").get_attribute("href"))
    phone.goto(f"{address}/settings")
    for _ in range(100):
        if phone.evaluate("async path => Boolean(await caches.match(path))", f"{tank}/record/note"):
            break
        phone.wait_for_timeout(200)
    phone.context.set_offline(offline=True)
    phone.goto(f"{address}{tank}/record/note")
    phone.get_by_label("What is worth keeping?").fill("Seen from the phone.")
    phone.get_by_role("button", name="Keep", exact=True).click()
    expect(phone.locator("#outbox ol > li")).to_have_count(1)
    phone.context.set_offline(offline=False)
    expect(phone.locator("#outbox")).to_be_hidden()
    home.goto(f"{served.address}{tank}")
    assert home.locator(".entries li", has_text="Seen from the phone.").count() == 1

    home.goto(f"{served.address}/settings")
    line = home.locator(".devices li", has_text="Kitchen phone")
    expect(line).to_contain_text("last seen")
    line.get_by_role("button").click()
    expect(home.locator(".devices li", has_text="Kitchen phone")).to_have_count(0)
    phone.goto(f"{address}{tank}")
    expect(phone.locator("h1")).to_have_text("Pair this device")
    phone.wait_for_function("async () => (await caches.keys()).length === 0")
    assert phone.evaluate(
        "navigator.serviceWorker.getRegistrations().then(each => each.length)"
    ) in (0, 1)
    phone.context.set_offline(offline=True)
    with pytest.raises(Error):
        phone.goto(f"{address}{tank}/record")
    phone.context.close()
    home.context.close()


def test_a_browser_that_trusts_nobody_is_warned(
    chromium: Browser, served: Served, address: str
) -> None:
    told = window(chromium)
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        told.page.goto(address.replace(NAME, "127.0.0.1"))
    told.page.context.close()


@pytest.mark.slow
def test_a_code_that_was_used_leads_a_second_phone_nowhere(
    chromium: Browser, trusting: Browser, served: Served, address: str
) -> None:
    home = served.visit(chromium, 1440, "dark").page
    code = code_of(home, served)
    first, second = window(trusting), window(trusting, 360, "dark")
    for each in (first.page, second.page):
        each.goto(f"{address}/pair?code={code}")
        each.get_by_role("button", name="Pair it").click()
    first.page.wait_for_url(f"{address}/")
    expect(second.page.locator("#problems")).to_contain_text("lets nobody in")
    assert broken_rules(second.page) == []
    second.page.goto(f"{address}/")
    expect(second.page.locator("h1")).to_have_text("Pair this device")
    assert "Study" not in second.page.content()
    for each in (home, first.page, second.page):
        each.context.close()


@pytest.mark.slow
@pytest.mark.parametrize(("width", "scheme"), WINDOWS)
def test_what_is_new_breaks_no_rule(
    chromium: Browser, trusting: Browser, served: Served, address: str, width: int, scheme: Scheme
) -> None:
    home = served.visit(chromium, width, scheme)
    paired(trusting, home.page, served, address, "Phone by the tank").page.context.close()
    phone = window(trusting, width, scheme)
    for told, path in ((home, "/settings"), (phone, "/pair"), (phone, "/trust")):
        told.page.goto((served.address if told is home else address) + path)
        check(told, width, path)
    home.page.goto(f"{served.address}/settings")
    home.page.get_by_role("button", name="Let a phone in").click()
    for each in home.page.locator("summary").all():
        each.click()
    check(home, width, "/devices/pair")
    square = home.page.locator("svg.square")
    assert square.evaluate("each => each.getBoundingClientRect().width") >= 200
    assert square.locator("rect").evaluate("e => getComputedStyle(e).fill") == "rgb(255, 255, 255)"
    for told in (home, phone):
        told.page.context.close()


def check(told: Opened, width: int, path: str) -> None:
    page = told.page
    assert page.evaluate("document.documentElement.scrollWidth") <= width, path
    assert page.evaluate(SMALLEST_LETTERS) >= LEAST_LETTER_PX, path
    assert page.locator("h1").count() == 1, path
    assert broken_rules(page) == [], path
    assert told.complaints == [], path
