"""Pairing: a code counts once and for a while, and a device is let in until it is revoked."""

from __future__ import annotations

import asyncio
import json
import re
import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from fake_ports import FakePorts
from starlette.responses import Response
from starlette.types import Message, Receive, Scope, Send
from web_sharing import BEGUN, FIRST, HOUSE, PHONE, SHARED_PORT, House

from watervane.app import BadInput
from watervane.app.page_ports import ServeRequest
from watervane.web import serving
from watervane.web.guard import Guard
from watervane.web.sharing.devices import FILE, Devices
from watervane.web.sharing.names import is_local
from watervane.web.sharing.pairing import LENGTH, LIFE_S, TRIES_OF_ALL, TRIES_OF_ONE, WINDOW_S

A_DAY_S = 86_400.0
PROXY = "tanks.example.org"


@pytest.fixture
def house(fake: FakePorts, tmp_path: Path) -> House:
    return House(tmp_path, fake)


def test_a_code_becomes_a_cookie_that_only_this_door_takes(house: House) -> None:
    phone, code = house.phone(), house.code()
    page = phone.get("/pair", params={"code": code})
    assert f'value="{code}"' in page.text
    assert page.headers["cache-control"] == "no-store"
    answer = phone.post("/pair", data={"code": code, "name": "Kitchen phone"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    told = answer.headers["set-cookie"]
    assert told.startswith(f"__Host-watervane-{SHARED_PORT}=")
    for part in ("httponly", "secure", "samesite=strict", "path=/", "max-age=34560000"):
        assert part in told.lower()
    assert "domain" not in told.lower()
    assert phone.get("/").status_code == 200
    cookie = told.partition("=")[2].partition(";")[0]
    home = house.at_home()
    home.cookies.clear()
    home.cookies.set(house.gate.cookie, cookie)
    assert home.get("/").status_code == 403


def test_a_device_records_as_its_keeper(house: House) -> None:
    phone = house.paired()
    told = {"filled": "2026-03-01", "size": "57 L", "name": "Study", "request": "a"}
    place = phone.post("/new", data=told).headers["location"]
    assert "Study" in house.at_home().get("/").text
    assert phone.get(place).status_code == 200


def test_it_is_typed_as_anybody_types(house: House) -> None:
    code = house.code()
    assert re.fullmatch(r"[a-z2-9]{4}-[a-z2-9]{4}-[a-z2-9]{4}", code)
    assert len(code.replace("-", "")) == LENGTH
    typed = f"  {code.replace('-', ' ').upper()} "
    assert house.phone().post("/pair", data={"code": typed}).status_code == 303


def test_a_code_counts_once(house: House) -> None:
    code = house.code()
    assert house.phone().post("/pair", data={"code": code}).status_code == 303
    second = house.phone()
    answer = second.post("/pair", data={"code": code})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers
    assert "used already" in answer.text
    assert second.get("/").status_code == 403
    assert len(house.share.devices.all()) == 1


def test_a_code_ends_with_its_time_and_with_the_next_one(house: House) -> None:
    old = house.code()
    house.late_s = LIFE_S
    assert house.phone().post("/pair", data={"code": old}).status_code == 403
    first, second = house.code(), house.code()
    assert house.phone().post("/pair", data={"code": first}).status_code == 403
    house.late_s += LIFE_S - 1
    assert house.phone().post("/pair", data={"code": second}).status_code == 303


@pytest.mark.parametrize("typed", ["", "x", "aaaa-aaaa-aaaa", "é" * 12, "a" * 5000])
@pytest.mark.parametrize("open_now", [True, False])
def test_a_wrong_code_lets_nobody_in(house: House, typed: str, open_now: bool) -> None:
    if open_now:
        house.code()
    answer = house.phone().post("/pair", data={"code": typed})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers
    assert house.share.devices.all() == ()


def test_guessing_is_stopped_for_one_and_for_all(house: House) -> None:
    code, phone = house.code(), house.phone()
    for _ in range(TRIES_OF_ONE):
        assert phone.post("/pair", data={"code": "aaaa-aaaa-aaaa"}).status_code == 403
    answer = phone.post("/pair", data={"code": code})
    assert answer.status_code == 429
    assert "too many tries" in answer.text
    others = [house.phone(f"192.168.7.{100 + each}") for each in range(TRIES_OF_ALL)]
    told = [each.post("/pair", data={"code": "bbbb"}).status_code for each in others]
    assert told.count(403) == TRIES_OF_ALL - TRIES_OF_ONE
    assert told[-1] == 429
    house.late_s += WINDOW_S + 1
    assert phone.post("/pair", data={"code": code}).status_code == 303


def test_who_is_revoked_is_out_at_once(house: House) -> None:
    phone, other = house.paired(), house.paired("Tablet by the tank")
    home = house.at_home()
    page = home.get("/settings").text
    assert "Kitchen phone" in page
    assert "Tablet by the tank" in page
    assert "last seen" in page
    device = next(e for e in house.share.devices.all() if e.name == "Kitchen phone")
    assert home.post(f"/devices/{device.id}/revoke").status_code == 303
    for path in ("/", "/record", "/shell.json", "/work"):
        answer = phone.get(path)
        assert answer.status_code == 403
        assert "Pair this device" in answer.text
    assert phone.post("/settings/look", data={"look": "dark"}).status_code == 403
    assert other.get("/").status_code == 200
    assert "Kitchen phone" not in home.get("/settings").text
    assert home.post(f"/devices/{device.id}/revoke").status_code == 404


def test_a_device_may_end_its_own_pairing(house: House) -> None:
    phone = house.paired()
    page = phone.get("/settings").text
    assert "this one" in page
    (path,) = re.findall(r'action="(/devices/[0-9a-f]+/revoke)"', page)
    assert phone.post(path).status_code == 303
    assert phone.get("/").status_code == 403


def test_an_answer_that_streams_ends_when_its_device_is_revoked(house: House) -> None:
    house.paired()
    (device,) = house.share.devices.all()
    cookie = house.share.devices.add("Another", BEGUN)
    sent: list[Message] = []

    async def streams(scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        for text in (b"one", b"two", b"three"):
            await send({"type": "http.response.body", "body": text, "more_body": True})
            if text == b"one":
                house.share.devices.revoke(device.id)  # somebody else: nothing changes
            else:
                for own in house.share.devices.all():
                    house.share.devices.revoke(own.id)

    async def send(message: Message) -> None:
        sent.append(message)

    async def receive() -> Message:
        return {"type": "http.disconnect"}

    host, told = f"bench.local:{SHARED_PORT}", f"{house.shared_gate.cookie}={cookie}"
    scope = {"type": "http", "method": "GET", "path": "/work", "client": (PHONE, 5),
             "headers": [(b"host", host.encode()), (b"cookie", told.encode())]}  # fmt: skip
    guard = Guard(streams, house.shared_gate, lambda *_: Response())
    with ThreadPoolExecutor(1) as elsewhere:  # a browser's tests keep a loop running here
        elsewhere.submit(asyncio.run, guard(scope, receive, send)).result()
    assert [each["body"] for each in sent[1:]] == [b"one", b"two", b""]
    assert not sent[-1]["more_body"]


def test_only_the_machine_itself_gives_codes_out(house: House) -> None:
    stranger, phone = house.phone(), house.paired()
    assert stranger.post("/devices/pair").status_code == 403
    assert phone.post("/devices/pair").status_code == 404
    assert "/devices/pair" not in phone.get("/settings").text
    home = house.at_home()
    assert home.get("/pair").status_code == 404
    assert home.post("/pair", data={"code": house.code()}).status_code == 404


def test_the_token_of_the_launch_opens_the_loopback_alone(house: House) -> None:
    phone = house.phone()
    assert phone.get("/enter", params={"token": house.gate.launch_token}).status_code == 403
    session = house.gate.let_in(house.gate.launch_token)
    for name in (house.gate.cookie, house.shared_gate.cookie):
        phone.cookies.set(name, session)
    assert phone.get("/").status_code == 403


def test_the_page_of_a_code_shows_it_to_a_camera_and_in_letters(house: House) -> None:
    answer = house.at_home().post("/devices/pair")
    assert answer.headers["cache-control"] == "no-store"
    assert f"{FIRST}/pair" in answer.text
    assert f"https://{HOUSE.addresses[0]}:{SHARED_PORT}/pair" in answer.text
    assert '<path d="M4 4h7v1h-7z' in answer.text
    assert house.share.authority.fingerprint in answer.text


def test_of_a_cookie_only_its_digest_is_kept(house: House) -> None:
    phone = house.paired()
    cookie = next(iter(phone.cookies.jar)).value
    path = house.folder / "sharing" / FILE
    text = path.read_text(encoding="utf-8")
    assert cookie not in text
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    (device,) = json.loads(text)["devices"]
    assert device["name"] == "Kitchen phone"
    again = Devices(house.folder / "sharing")
    assert again.of(cookie) is not None
    assert again.of(device["digest"]) is None
    assert again.of("") is None
    assert again.of(None) is None


def test_a_file_of_devices_that_makes_no_sense_lets_nobody_in(house: House) -> None:
    phone = house.paired()
    path = house.folder / "sharing" / FILE
    path.write_text("[]", encoding="utf-8")
    house.share.devices = Devices(path.parent)
    assert phone.get("/").status_code == 403
    assert path.with_suffix(".unreadable").exists()


def test_a_cookie_lasts_while_it_is_used(house: House) -> None:
    phone = house.paired()
    assert "set-cookie" not in phone.get("/").headers
    house.late_s = 31 * A_DAY_S
    told = phone.get("/").headers["set-cookie"]
    assert "Max-Age=34560000" in told
    assert "Secure; HttpOnly; SameSite=Strict" in told
    assert "set-cookie" not in phone.get("/").headers
    (device,) = house.share.devices.all()
    assert device.seen_at.startswith("2026-04-01")


# Who may speak at all

FOREIGN_HOSTS = ("evil.example", f"evil.example:{SHARED_PORT}", "bench.local", "192.168.7.5",
                 f"bench.local.evil.example:{SHARED_PORT}", f"127.0.0.1:{SHARED_PORT}",
                 f"localhost:{SHARED_PORT}", f"192.168.7.6:{SHARED_PORT}", "")  # fmt: skip


@pytest.mark.parametrize("host", FOREIGN_HOSTS)
def test_a_name_somebody_else_points_here_is_refused(house: House, host: str) -> None:
    phone = house.paired()
    for path in ("/", "/pair", "/trust", "/static/x/y"):
        assert phone.get(path, headers={"host": host}).status_code == 421
    assert phone.post("/pair", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", HOUSE.hosts)
def test_each_shared_name_takes_its_own_forms_and_no_other_page_s(house: House, host: str) -> None:
    address = f"https://{host}:{SHARED_PORT}"
    phone = house.phone(address=address)
    assert phone.post("/pair", data={"code": house.code()}).status_code == 303
    assert phone.post("/settings/look", data={"look": "dark"}).status_code == 303
    other = next(each for each in HOUSE.hosts if each != host)
    for origin in (f"https://{FOREIGN_HOSTS[0]}", "null", f"http://{host}:{SHARED_PORT}",
                   f"https://{host}", f"https://{other}:{SHARED_PORT}"):  # fmt: skip
        for path in ("/pair", "/settings/look", "/devices/pair", "/devices/x/revoke"):
            answer = phone.post(path, data={"look": "dark"}, headers={"origin": origin})
            assert answer.status_code == 403, (origin, path)
            assert "another page" in answer.text
    for site in ("cross-site", "same-site", "none"):
        assert phone.post("/pair", headers={"sec-fetch-site": site}).status_code == 403
    foreign = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "cors"}
    assert phone.get("/shell.json", headers=foreign).status_code == 403


@pytest.mark.parametrize("peer", ["8.8.8.8", "2001:db8::1", "100.128.0.1", "", "nobody"])
def test_the_internet_gets_nothing(house: House, peer: str) -> None:
    for path in ("/", "/pair", "/trust", "/static/x/y"):
        assert house.phone(peer).get(path).status_code == 403
    assert "local network" in house.phone(peer).get("/pair").text


@pytest.mark.parametrize(
    "peer", ["192.168.7.20", "10.1.2.3", "172.31.0.1", "169.254.3.4", "100.64.0.1", "127.0.0.1",
             "::1", "fe80::1", "::ffff:192.168.1.2"]
)  # fmt: skip
def test_the_house_is_known(peer: str) -> None:
    assert is_local(peer)


def test_a_stranger_sees_how_to_be_let_in_and_nothing_else(house: House) -> None:
    stranger = house.phone()
    for path in ("/pair", "/trust", "/trust/watervane.crt"):
        assert stranger.get(path).status_code == 200
    for path in ("/", "/shell.js", "/shell.json", "/offline", "/manifest.webmanifest", "/trusted",
                 "/settings", "/work", "/nowhere", "/trust/authority.key"):  # fmt: skip
        assert stranger.get(path).status_code in (403, 404), path
    page = stranger.get("/").text
    assert "Pair this device" in page
    assert "outbox.js" not in page
    assert "manifest" not in page


# Behind a proxy of one's own


def test_behind_a_proxy_its_name_is_the_only_one(fake: FakePorts, tmp_path: Path) -> None:
    house = House(tmp_path, fake, behind=f"https://{PROXY.title()}/")
    address = f"https://{PROXY}"
    assert house.share.addresses == (address,)
    phone = house.phone("127.0.0.1", address)
    assert phone.post("/pair", data={"code": house.code()}).status_code == 303
    assert phone.get("/").status_code == 200
    assert phone.get("/", headers={"host": f"bench.local:{SHARED_PORT}"}).status_code == 421
    assert phone.get("/trust/watervane.crt").status_code == 404
    assert "proxy" in phone.get("/trust").text
    assert not (tmp_path / "sharing" / "authority.key").exists()


@pytest.mark.parametrize(
    "address",
    [
        PROXY,
        f"http://{PROXY}",
        "https://",
        f"https://{PROXY}/sub",
        f"https://{PROXY}?x=1",
        f"https://{PHONE}@{PROXY}",
        f"https://{PROXY}:99999",
    ],
)
def test_an_address_of_no_proxy_is_told(fake: FakePorts, address: str) -> None:
    with pytest.raises(BadInput) as told:
        serving.serve(fake.ports(), ServeRequest(port=0, behind=address), print)
    assert told.value.problems[0].key == "share-bad-address"


def test_both_at_once_make_no_sense(fake: FakePorts) -> None:
    request = ServeRequest(port=0, share=True, behind=f"https://{PROXY}")
    with pytest.raises(BadInput) as told:
        serving.serve(fake.ports(), request, print)
    assert told.value.problems[0].key == "share-or-behind"


def test_without_being_asked_nothing_listens_on_the_network(house: House, fake: FakePorts) -> None:
    second = serving._second_door  # noqa: SLF001 - what is opened is asked here
    assert second(fake.ports(), ServeRequest()) is None
    for request, host in (
        (ServeRequest(share=True, share_port=0), "0.0.0.0"),  # noqa: S104
        (ServeRequest(behind=f"https://{PROXY}", share_port=0), "127.0.0.1"),
    ):
        found = second(fake.ports(), request)
        assert found is not None
        with found[1] as listening:
            assert listening.getsockname()[0] == host


def test_where_nothing_is_shared_the_settings_say_how(keeper: object) -> None:
    page = keeper.get("/settings").text
    assert "watervane serve --share" in page
    assert keeper.post("/devices/pair").status_code == 404
    assert keeper.get("/trust").status_code == 404
