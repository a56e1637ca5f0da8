"""Who is refused, and what every answer carries."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient
from web_keeper import ADDRESS, OURS, PORT

from watervane.web import Gate
from watervane.web.guard import MOST_FORM_BYTES

POST = "/settings/look"


def test_without_the_token_there_is_nothing_to_see(stranger: TestClient) -> None:
    for path in ("/", "/settings", "/record", "/nowhere"):
        answer = stranger.get(path)
        assert answer.status_code == 403
        assert "front door" in answer.text


def test_a_wrong_token_is_no_key(stranger: TestClient, gate: Gate) -> None:
    for told in ("", "x", gate.launch_token[:-1], gate.launch_token + "x", "é"):
        answer = stranger.get("/enter", params={"token": told})
        assert answer.status_code == 403
        assert "set-cookie" not in answer.headers
    assert gate.sessions == []


def test_the_token_becomes_a_cookie_scripts_and_other_pages_cannot_use(
    stranger: TestClient, gate: Gate
) -> None:
    answer = stranger.get(gate.launch_address)
    told = answer.headers["set-cookie"].lower()
    assert answer.headers["location"] == "/"
    assert "httponly" in told
    assert "samesite=strict" in told
    assert gate.launch_token not in answer.headers["set-cookie"]
    assert stranger.get("/").status_code == 200


def test_a_cookie_of_another_launch_is_no_key(stranger: TestClient, gate: Gate) -> None:
    gate.let_in(gate.launch_token)
    stranger.cookies.set(gate.cookie, Gate(PORT).launch_token)
    assert stranger.get("/").status_code == 403


@pytest.mark.parametrize(
    "host",
    ["evil.example", f"evil.example:{PORT}", "127.0.0.1", "127.0.0.1:1", f"127.0.0.1.evil:{PORT}",
     f"localhost.:{PORT}", ""],
)  # fmt: skip
def test_a_name_somebody_else_points_here_is_refused(keeper: TestClient, host: str) -> None:
    answer = keeper.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert keeper.get("/static/x/y", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", [f"127.0.0.1:{PORT}", f"localhost:{PORT}", f"[::1]:{PORT}"])
def test_our_own_names_are_known(gate: Gate, host: str) -> None:
    assert gate.objection("GET", {"host": host}) is None


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://example.org", "sec-fetch-site": "cross-site"},
        {"origin": "https://example.org", "sec-fetch-site": "same-origin"},
        {"origin": ADDRESS, "sec-fetch-site": "cross-site"},
        {"origin": ADDRESS, "sec-fetch-site": "same-site"},
        {"origin": ADDRESS, "sec-fetch-site": "none"},
        {"origin": f"http://127.0.0.1:{PORT + 1}"},
        {"origin": f"https://127.0.0.1:{PORT}"},
        {"origin": f"http://localhost:{PORT}"},
        {"origin": "null"},
        {},
    ],
)
@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH"])
def test_what_another_page_sends_is_refused(
    stranger: TestClient, gate: Gate, method: str, headers: dict[str, str]
) -> None:
    stranger.get(gate.launch_address)
    answer = stranger.request(method, POST, data={"look": "dark"}, headers=headers)
    assert answer.status_code == 403
    assert "another page" in answer.text
    assert "set-cookie" not in answer.headers


@pytest.mark.parametrize("headers", [OURS, {"origin": ADDRESS}, {"sec-fetch-site": "same-origin"}])
def test_our_own_forms_are_taken(stranger: TestClient, gate: Gate, headers: dict[str, str]) -> None:
    stranger.get(gate.launch_address)
    assert stranger.post(POST, data={"look": "dark"}, headers=headers).status_code == 303


def test_other_pages_read_nothing_but_may_lead_here(keeper: TestClient) -> None:
    foreign = {"sec-fetch-site": "cross-site"}
    for mode in ("no-cors", "cors", "websocket"):
        assert keeper.get("/", headers={**foreign, "sec-fetch-mode": mode}).status_code == 403
    assert keeper.get("/", headers={**foreign, "sec-fetch-mode": "navigate"}).status_code == 200


def test_too_much_is_refused_told_or_not(keeper: TestClient) -> None:
    big = b"look=" + b"x" * MOST_FORM_BYTES
    form = {"content-type": "application/x-www-form-urlencoded"}
    assert keeper.post(POST, content=big, headers=form).status_code == 413
    pieces = (big[start : start + 4096] for start in range(0, len(big), 4096))
    assert keeper.post(POST, content=pieces, headers=form).status_code == 413
    lie = {**form, "content-length": "-5"}
    assert keeper.post(POST, content=b"", headers=lie).status_code == 413


@pytest.mark.parametrize("path", ["/", "/nowhere", "/enter?token=x", "/settings"])
def test_every_answer_carries_the_headers(keeper: TestClient, path: str) -> None:
    headers = keeper.get(path).headers
    policy = headers["content-security-policy"]
    assert policy.startswith("default-src 'none';")
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert "no-cache" in headers["cache-control"]
    assert "access-control-allow-origin" not in headers


def test_refusals_carry_them_too(stranger: TestClient) -> None:
    for answer in (stranger.get("/"), stranger.get("/", headers={"host": "evil.example"})):
        assert answer.headers["content-security-policy"].startswith("default-src 'none';")


def test_files_are_kept_for_good_and_only_under_their_content(keeper: TestClient) -> None:
    sheet = keeper.get("/").text.partition('rel="stylesheet" href="')[2].partition('"')[0]
    answer = keeper.get(sheet)
    assert answer.status_code == 200
    assert "immutable" in answer.headers["cache-control"]
    assert keeper.get(sheet.replace("/static/", "/static/0")).status_code == 404
    for strange in ("%2e%2e/gate.py", "fonts/%2e%2e/%2e%2e/gate.py", "gate.py", "//"):
        assert keeper.get(f"/static/x/{strange}").status_code == 404
