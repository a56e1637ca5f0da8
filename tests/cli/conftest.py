"""Every command writes to a journal of its own."""

from __future__ import annotations

import pytest
import quick_schema

from watervane.journal import schema


@pytest.fixture(autouse=True)
def _tables_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(schema, "upgrade", quick_schema.upgrade)
