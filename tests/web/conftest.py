"""Pages of an invented keeper, with a journal of their own."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from web_keeper import ADDRESS, OURS, PORT

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))

import quick_schema
from fake_ports import FakePorts

from watervane.journal import schema
from watervane.web import Gate, make_app


@pytest.fixture(autouse=True)
def _tables_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(schema, "upgrade", quick_schema.upgrade)


@pytest.fixture
def fake(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FakePorts:
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    return FakePorts()


@pytest.fixture
def gate() -> Gate:
    return Gate(PORT)


@pytest.fixture
def stranger(fake: FakePorts, gate: Gate) -> TestClient:
    """A browser that knows the address and not the token."""
    return TestClient(
        make_app(fake.ports(), gate), ADDRESS, raise_server_exceptions=False, follow_redirects=False
    )


@pytest.fixture
def keeper(stranger: TestClient, gate: Gate) -> TestClient:
    """A browser that came in by the address of the launch; it posts as our own forms do."""
    assert stranger.get(gate.launch_address).status_code == 303
    stranger.headers.update(OURS)
    return stranger
