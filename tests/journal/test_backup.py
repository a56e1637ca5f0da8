"""Copies are made while others write, hold one moment, are read back, and lead home again."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest
from logs import note, reading, small_tank, written

from watervane.journal import Journal, JournalTrouble, Place, back_up, backup, restore
from watervane.journal.beside import carried, lay_beside
from watervane.records import Note, Person, Tank

ME = Person("me")
SCRIPT = Path(__file__).with_name("writers.py")


def begun(place: Place, *things: object) -> str:
    journal = Journal(place)
    with journal.writing(ME, what="add") as work:
        key = work.add_tank(small_tank()).tank
        work.record(key, written(*things))
    journal.close()
    return key


def the_tank(place: Place) -> Tank:
    journal = Journal(place)
    try:
        with journal.looking(ME) as look:
            return look.tank(look.key_of("Reading room"))
    finally:
        journal.close()


def test_a_copy_holds_everything_in_one_file(place: Place, tmp_path: Path) -> None:
    begun(place, reading(), note("a"))
    copy = tmp_path / "copies" / "a.sqlite"
    held = back_up(place, copy)
    assert (held.tanks, held.entries) == (1, 3)
    assert the_tank(Place(copy)) == the_tank(place)
    left = [path.name for path in copy.parent.iterdir() if not path.name.startswith("a.sqlite")]
    assert left == []


def test_files_that_lie_beside_go_along_and_leave_no_trace_in_the_journal(
    place: Place, tmp_path: Path
) -> None:
    begun(place, reading())
    copy, bare = tmp_path / "a.sqlite", tmp_path / "b.sqlite"
    assert back_up(place, copy, {"some.json": b"{}"}) == back_up(place, bare)
    assert carried(copy) == {"some.json": b"{}"}
    assert carried(bare) == {}
    if place.file is not None:
        restore(copy, place, over=True)
        assert place.file is not None
        assert carried(place.file) == {}
    lay_beside(tmp_path / "beside", {"some.json": b"new", "other.json": b"x"})
    lay_beside(tmp_path / "beside", {"some.json": b"old"})
    assert (tmp_path / "beside" / "some.json").read_bytes() == b"new"
    assert (tmp_path / "beside" / "some.json").stat().st_mode & 0o077 == 0


def test_a_copy_made_while_another_process_writes_holds_whole_writes(
    place: Place, tmp_path: Path
) -> None:
    where = (
        str(place.file) if place.url is None else place.url.render_as_string(hide_password=False)
    )
    busy = subprocess.Popen([sys.executable, str(SCRIPT), "racing", where, "1", "100000"])
    try:
        until = time.monotonic() + 30
        while time.monotonic() < until and not _writing(place):
            time.sleep(0.05)
        sizes = []
        for index in range(5):
            copy = tmp_path / f"copy{index}.sqlite"
            held = back_up(place, copy)
            found = the_tank(Place(copy)).events
            texts = [event.text for event in found if isinstance(event, Note)]
            assert held.entries == len(texts) + 1
            assert texts == [
                f"writer0 {at} {part}" for at in range(len(texts) // 3) for part in range(3)
            ]
            sizes.append(len(texts))
            time.sleep(0.1)
        assert sizes == sorted(sizes)
        assert sizes[0] < sizes[-1], "nothing was written meanwhile"
    finally:
        _stop(busy)


def _writing(place: Place) -> bool:
    try:
        return len(the_tank(place).events) > 3
    except JournalTrouble:
        return False


def _stop(busy: subprocess.Popen[bytes]) -> None:
    """End the script and the writer it forked."""
    children = Path(f"/proc/{busy.pid}/task/{busy.pid}/children")
    for child in children.read_text().split() if children.exists() else []:
        os.kill(int(child), signal.SIGKILL)
    busy.kill()
    busy.wait()


def test_a_copy_that_reads_back_otherwise_is_not_kept(
    file_place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun(file_place, note("a"))
    copied = backup._copy_pages  # noqa: SLF001 - the disk that forgets

    def forgetful(connection, part) -> None:
        copied(connection, part)
        with closing(sqlite3.connect(part)) as copy:
            copy.execute("DROP TRIGGER entries_no_update")
            copy.execute("UPDATE entries SET raw = 'b' WHERE number = 2")
            copy.commit()

    monkeypatch.setattr(backup, "_copy_pages", forgetful)
    with pytest.raises(JournalTrouble, match="backup-differs"):
        back_up(file_place, tmp_path / "copies" / "a.sqlite")
    assert list((tmp_path / "copies").iterdir()) == []


def test_a_copy_takes_nobody_elses_name(file_place: Place, tmp_path: Path) -> None:
    begun(file_place)
    target = tmp_path / "there.sqlite"
    target.write_text("mine")
    with pytest.raises(JournalTrouble, match="backup-exists"):
        back_up(file_place, target)
    assert target.read_text() == "mine"


def test_there_is_nothing_to_copy(file_place: Place, tmp_path: Path) -> None:
    with pytest.raises(JournalTrouble, match="journal-none"):
        back_up(file_place, tmp_path / "a.sqlite")
    assert not (tmp_path / "a.sqlite").exists()


def test_a_copy_is_restored_to_a_new_machine_and_written_on(place: Place, tmp_path: Path) -> None:
    """From either kind of journal into a file, and from the file into either kind."""
    source = Place(tmp_path / "old" / "journal.sqlite")
    key = begun(source, reading(), note("a"))
    back_up(source, tmp_path / "copy.sqlite")
    held, replaced = restore(tmp_path / "copy.sqlite", place)
    assert (held.entries, replaced) == (3, None)
    assert the_tank(place) == the_tank(source)
    journal = Journal(place)
    with journal.writing(ME, what="record") as work:
        receipt = work.record(key, written(note("b")))
    journal.close()
    assert receipt.entries == (4,)
    assert [event.text for event in the_tank(place).events if isinstance(event, Note)] == ["a", "b"]


def test_a_journal_in_use_is_replaced_in_one_step_and_the_old_one_kept(
    file_place: Place, tmp_path: Path
) -> None:
    key = begun(file_place, note("old"))
    back_up(file_place, tmp_path / "copy.sqlite")
    journal = Journal(file_place)
    with journal.writing(ME, what="record") as work:
        work.record(key, written(note("new")))
    with pytest.raises(JournalTrouble, match="journal-not-empty"):
        restore(tmp_path / "copy.sqlite", file_place)
    _, replaced = restore(tmp_path / "copy.sqlite", file_place, over=True)
    with journal.looking(ME) as look:  # open all the time
        assert look.tank(key).events == (note("old"),)
    with journal.writing(ME, what="record") as work:
        work.record(key, written(note("newer")))
    journal.close()
    assert replaced is not None
    assert the_tank(Place(replaced)).events == (note("old"), note("new"))
    assert the_tank(file_place).events == (note("old"), note("newer"))


def test_a_server_that_holds_a_journal_is_not_written_over(place: Place, tmp_path: Path) -> None:
    begun(place, note("a"))
    back_up(place, tmp_path / "copy.sqlite")
    with pytest.raises(JournalTrouble, match="not-empty"):
        restore(tmp_path / "copy.sqlite", place)
    assert the_tank(place).events == (note("a"),)


@pytest.mark.parametrize("harm", ["cut", "overwritten", "text", "other", "missing"])
def test_what_is_no_sound_copy_replaces_nothing(
    harm: str, file_place: Place, tmp_path: Path
) -> None:
    begun(file_place, *(note("x" * 500, day=day) for day in range(200)))
    copy = tmp_path / "copy.sqlite"
    back_up(file_place, copy)
    damage(copy, harm)
    before = the_tank(file_place)
    with pytest.raises(JournalTrouble, match=r"damaged|foreign|missing"):
        restore(copy, file_place, over=True)
    assert the_tank(file_place) == before


def test_a_damaged_journal_is_put_aside_and_its_copy_takes_over(
    file_place: Place, tmp_path: Path
) -> None:
    begun(file_place, *(note("x" * 500, day=day) for day in range(200)))
    whole = the_tank(file_place)
    back_up(file_place, tmp_path / "copy.sqlite")
    assert file_place.file is not None
    damage(file_place.file, "overwritten")
    _, replaced = restore(tmp_path / "copy.sqlite", file_place, over=True)
    assert the_tank(file_place) == whole
    assert replaced is not None
    assert replaced.exists()


def damage(file: Path, harm: str) -> None:
    """Harm a file as disks and people do."""
    if harm == "missing":
        file.unlink()
    elif harm == "text":
        file.write_text("not a journal")
    elif harm == "other":
        file.unlink()
        with closing(sqlite3.connect(file)) as connection:
            connection.execute("CREATE TABLE songs (name TEXT)")
    elif harm == "cut":
        with file.open("rb+") as opened:
            opened.truncate(file.stat().st_size // 2)
    else:
        with file.open("rb+") as opened:
            for page in range(2, file.stat().st_size // 4096):
                opened.seek(page * 4096)
                opened.write(b"\xa5" * 64)
