"""Every command writes to a journal of its own; what the words of a line mean is made out once."""

from __future__ import annotations

from functools import cache

import pytest
import quick_schema
import typer.main
import typer.testing

from watervane.journal import schema


@pytest.fixture(autouse=True)
def _tables_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(schema, "upgrade", quick_schema.upgrade)


@pytest.fixture(autouse=True)
def _commands_made_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """All commands are put together anew for each line otherwise: nine tenths of its time."""
    monkeypatch.setattr(typer.testing, "_get_command", _made)


_made = cache(typer.main.get_command)
