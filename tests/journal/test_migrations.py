"""Journals of every schema that landed are brought up with all that is in them."""

from __future__ import annotations

import dataclasses
import sqlite3
import sys
from contextlib import closing
from pathlib import Path
from typing import Never

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from logs import forecast, note, photo, result, small_tank, without_lines
from sqlalchemy import MetaData, create_engine, text

from watervane.exchange import parse_tank_text
from watervane.journal import Journal, JournalTrouble, Place, restore
from watervane.journal.connections import writer
from watervane.journal.schema import HEAD, REVISIONS, upgrade
from watervane.journal.tables import metadata
from watervane.records import Person, Tank

ME = Person("me")
DATA = Path(__file__).with_name("data")


def old_file(revision: str, file: Path) -> Place:
    """A journal as a program of that time left it."""
    file.parent.mkdir(parents=True)
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript((DATA / f"schema_{revision}.sql").read_text(encoding="utf-8"))
    return Place(file)


def old_journal(revision: str, place: Place, folder: Path) -> None:
    """The same in either kind of database."""
    if place.file is not None:
        old_file(revision, place.file)
        return
    source = create_engine(f"sqlite:///{old_file(revision, folder / 'old' / 'j.sqlite').file}")
    target = writer(place)
    with source.begin() as rows, target.begin() as connection:
        upgrade(connection, revision)
        kept, tables = MetaData(), MetaData()
        kept.reflect(rows)
        tables.reflect(connection)
        for table in tables.sorted_tables:
            found = [dict(row) for row in rows.execute(kept.tables[table.name].select()).mappings()]
            if found and table.name != "alembic_version":
                connection.execute(table.insert(), found)
        connection.execute(
            text("SELECT setval(pg_get_serial_sequence('entries', 'number'), 10000)")
        )
    source.dispose()
    target.dispose()


def expected(revision: str) -> Tank:
    """The tank of the dump, from the file it was made from."""
    text_of_it = (DATA / f"schema_{revision}.tank.toml").read_text(encoding="utf-8")
    tank = without_lines(parse_tank_text(text_of_it))
    notes = (note("kept", day=20), note("two", day=20))
    return dataclasses.replace(tank, owner="me", events=(*tank.events, *notes))


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_journal_of_a_landed_schema_is_brought_up_with_its_data(
    revision: str, place: Place, tmp_path: Path
) -> None:
    old_journal(revision, place, tmp_path)
    journal = Journal(place)
    with journal.looking(ME) as look:
        key = look.key_of(expected(revision).name)
        assert look.tank(key) == expected(revision)
        assert len(look.entries(key, all_of_them=True)) == len(look.entries(key)) + 2
        kept = [dataclasses.replace(each, made_at=None) for each in look.forecasts(key)]
        known = look.newest_entry(key)
        pictures = look.photos(look.entries(key)[-1].number)
        newest, jobs = look.result(key, "forecast"), look.jobs(key)
    assert newest == (result(newest_entry=known) if revision >= "0004" else None)
    assert {job.state for job in jobs} == ({"waiting", "done"} if revision >= "0004" else set())
    assert pictures == ((photo(),) if revision >= "0003" else ())
    assert kept == ([forecast(newest_entry=known)] if revision >= "0002" else [])
    with journal.writing(ME, what="undo") as work:
        work.undo_last(key)
    with journal.looking(ME) as look:
        assert look.tank(key).events[-1] == note("tow", day=20)
    journal.close()


def test_every_landed_schema_has_its_dump_and_every_dump_its_schema() -> None:
    assert sorted(path.stem for path in DATA.glob("schema_*.sql")) == [
        f"schema_{revision}" for revision in REVISIONS
    ]


def test_the_steps_are_the_schemas_this_program_knows() -> None:
    config = Config()
    config.set_main_option("script_location", "watervane.journal:migrations")
    steps = ScriptDirectory.from_config(config).walk_revisions()
    assert tuple(step.revision for step in steps)[::-1] == REVISIONS


def test_the_steps_end_at_the_tables_the_program_uses(journal: Journal) -> None:
    with journal.looking(ME) as look:
        assert look.tanks() == ()
    engine = writer(journal.place)
    with engine.begin() as connection:
        differing = compare_metadata(MigrationContext.configure(connection), metadata)
    engine.dispose()
    assert differing == []


@pytest.fixture
def newer(place: Place) -> Place:
    journal = Journal(place)
    with journal.writing(ME, what="add") as work:
        work.add_tank(small_tank())
    journal.close()
    engine = writer(place)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    engine.dispose()
    return place


def test_a_newer_schema_is_refused_and_left_alone(newer: Place) -> None:
    before = newer.file.read_bytes() if newer.file else b""
    journal = Journal(newer)
    for open_it in (journal.looking, lambda actor: journal.writing(actor, what="add")):
        with pytest.raises(JournalTrouble, match="journal-newer") as caught, open_it(ME):
            pass
        assert (caught.value.arguments["schema"], caught.value.arguments["known"]) == ("9999", HEAD)
    journal.close()
    assert (newer.file.read_bytes() if newer.file else b"") == before


def test_a_step_that_fails_leaves_the_journal_as_it_was(
    file_place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert file_place.file is not None
    old_file(REVISIONS[0], file_place.file)
    with closing(sqlite3.connect(file_place.file)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '0000'")
        connection.commit()
        before = list(connection.iterdump())
    schema = sys.modules["watervane.journal.schema"]
    monkeypatch.setattr(schema, "REVISIONS", ("0000", *REVISIONS))

    def fails(connection, revision) -> Never:
        connection.exec_driver_sql("CREATE TABLE half (x INTEGER)")
        raise RuntimeError("a step that fails")

    monkeypatch.setattr(schema, "upgrade", fails)
    journal = Journal(file_place)
    with pytest.raises(RuntimeError, match="a step"), journal.looking(ME):
        pass
    journal.close()
    with closing(sqlite3.connect(file_place.file)) as connection:
        assert list(connection.iterdump()) == before
    (copy,) = file_place.file.parent.glob("journal-before-*.sqlite")
    with closing(sqlite3.connect(copy)) as connection:
        assert list(connection.iterdump()) == before


def test_a_database_of_another_program_is_refused(file_place: Place) -> None:
    assert file_place.file is not None
    file_place.file.parent.mkdir()
    with closing(sqlite3.connect(file_place.file)) as connection:
        connection.execute("CREATE TABLE songs (name TEXT)")
    journal = Journal(file_place)
    with pytest.raises(JournalTrouble, match="journal-foreign"), journal.looking(ME):
        pass
    journal.close()
    with closing(sqlite3.connect(file_place.file)) as connection:
        names = connection.execute("SELECT name FROM sqlite_master").fetchall()
    assert names == [("songs",)]


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_copy_of_an_earlier_program_is_restored_and_brought_up(
    revision: str, file_place: Place, tmp_path: Path
) -> None:
    copy = old_file(revision, tmp_path / "old" / "copy.sqlite").file
    assert copy is not None
    before = copy.read_bytes()
    held, _ = restore(copy, file_place)
    journal = Journal(file_place)
    with journal.looking(ME) as look:
        assert look.tank(look.key_of(expected(revision).name)) == expected(revision)
    journal.close()
    assert held.tanks == 1
    assert copy.read_bytes() == before


def test_a_copy_of_a_newer_program_replaces_nothing(file_place: Place, tmp_path: Path) -> None:
    copy = old_file(HEAD, tmp_path / "new" / "copy.sqlite").file
    assert copy is not None
    with closing(sqlite3.connect(copy)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
    with pytest.raises(JournalTrouble, match="journal-newer"):
        restore(copy, file_place, over=True)
    assert file_place.file is not None
    assert not file_place.file.exists()
