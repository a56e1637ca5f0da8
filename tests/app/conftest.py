"""The invented forecast lives beside the tests of the command line."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))
sys.path.insert(0, str(Path(__file__).parents[1] / "journal"))

import quick_schema

from watervane.journal import schema


@pytest.fixture(autouse=True)
def _tables_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(schema, "upgrade", quick_schema.upgrade)
