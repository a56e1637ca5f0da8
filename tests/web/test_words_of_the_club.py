"""Every page of the demo is read, and none names a command, an option or a key of a file."""

from __future__ import annotations

import html
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urljoin

import pytest
from starlette.testclient import TestClient
from web_keeper import ADDRESS, PORT

from watervane.app.club import club_journal, found_club
from watervane.bootstrap import real_ports
from watervane.cli.clubbed import shipped_club
from watervane.records import Person
from watervane.web import Gate, make_app

sys.path.insert(0, str(Path(__file__).parents[1] / "wording"))

from commands_named import named

# Sharing needs the program to be started in another way: there the command is the answer.
TOLD = {"watervane serve", "--share"}
TANK = re.compile(r"/tank/[0-9a-f]{32}$")
ALIKE = re.compile(r"(?<=/tank/)[0-9a-f]{32}(?=/)|(?<=/entry/)\d+")
NEVER = ("/static/", "/drawing/", "/photo", "/tank-file", ".svg", ".json", "/manifest")
UNREAD = re.compile(r"(?s)<head>.*?</head>|<script.*?</script>|<[^>]+>")
BLOCKS = re.compile(r"</?(?:p|li|h\d|td|th|dd|dt|summary|caption|legend|label|option|div)\b[^>]*>")


@pytest.fixture(scope="module")
def club() -> Iterator[list[tuple[str, str]]]:
    """The pages of the club, with what is shipped of it, and their texts."""
    ports, gate = real_ports(), Gate(PORT)
    with club_journal(ports):
        found_club(Person(), shipped_club(), ports)
        keeper = TestClient(make_app(ports, gate), ADDRESS)
        keeper.get(gate.launch_address)
        yield list(pages(keeper))


def pages(keeper: TestClient) -> Iterator[tuple[str, str]]:
    """Each page that links lead to, with its text; of those below a tank one of each kind."""
    waiting, seen = ["/"], set[str]()
    while waiting:
        path = waiting.pop(0).partition("#")[0]
        kind = ALIKE.sub("N", path)
        if kind in seen or any(each in path for each in NEVER):
            continue
        seen.add(kind)
        answer = keeper.get(path)
        if not answer.headers["content-type"].startswith("text/html"):
            continue
        links = re.findall(r'href="([^"#]+)', answer.text)
        waiting += [urljoin(path, html.unescape(link)) for link in links if link[0] in "/?"]
        yield path, html.unescape(UNREAD.sub("", BLOCKS.sub("\n", answer.text)))


@pytest.mark.slow
def test_no_page_of_the_demo_names_a_command_or_a_key(club: list[tuple[str, str]]) -> None:
    found = {
        f"{path}: {line.strip()}"
        for path, text in club
        for line in text.splitlines()
        if set(named(line)) - TOLD
    }
    assert found == set()


@pytest.mark.slow
def test_all_tanks_and_kinds_of_pages_were_read(club: list[tuple[str, str]]) -> None:
    paths = [path for path, _ in club]
    assert sum(bool(TANK.search(path)) for path in paths) == len(shipped_club().tanks)
    for part in ("/record/feed", "/ask/headroom", "/rehearsal", "/limits", "/settings", "/new"):
        assert any(path.endswith(part) for path in paths), part
