"""A journal that a server keeps open is still the one that lies there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from watervane.bootstrap_journal import held_open, journal_ports
from watervane.journal import Journal, back_up, restore, usual_place
from watervane.journal.places import Place
from watervane.records import Person, Tank

ME = Person()
TANK = Tank(name="any", filled=date(2026, 3, 1), volume_l=57.0)


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Place:
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "journal.sqlite"))
    return usual_place()


def _add(name: str) -> None:
    with journal_ports().open() as journal, journal.writing(ME, what="add tank") as work:
        work.add_tank(replace(TANK, name=name))


def _names() -> list[str]:
    with journal_ports().open() as journal, journal.looking(ME) as view:
        return [tank.name for tank in view.tanks()]


def test_what_is_written_while_it_is_held_is_seen_by_all(place: Place) -> None:
    with held_open():
        _add("First")
        assert _names() == ["First"]
        other = Journal(place)
        with other.looking(ME) as view:
            assert [each.name for each in view.tanks()] == ["First"]
        other.close()
    assert _names() == ["First"]


def test_a_journal_put_in_its_place_meanwhile_is_the_one_used(place: Place, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite"
    with held_open():
        _add("First")
        back_up(place, copy)
        _add("Second")
        restore(copy, place, over=True)
        assert _names() == ["First"]
        _add("Third")
        assert _names() == ["First", "Third"]
    assert _names() == ["First", "Third"]
