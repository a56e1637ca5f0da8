"""A folder of tank files and the journal say the same, whichever was written to."""

from __future__ import annotations

from pathlib import Path

import pytest

from watervane.app import BadInput, Line, Ports, correct, edit_tank, open_tank, record, undo
from watervane.app.exchanging import export_tank
from watervane.app.importing import Asked, import_file
from watervane.app.mirroring import STATE, Mirrored, mirror
from watervane.bootstrap import real_ports
from watervane.exchange import parse_tank_text
from watervane.records import Note, Person

ME = Person()
FILE = """format = "watervane-tank/1"

[tank]
name = "Study"
filled = 2026-03-01
volume = "57 L"  # measured with a jug

# the first week
[[event]]
at = 2026-03-02T18:00:00
kind = "feed"
amount = "1 pinch"

[[reading]]
at = 2026-03-03T19:00:00
quantity = "ammonia"
value = "0.7 mg/L as N"
"""


@pytest.fixture
def ports(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ports:
    monkeypatch.setenv("WATERVANE_JOURNAL", str(tmp_path / "data" / "journal.sqlite"))
    return real_ports()


@pytest.fixture
def folder(tmp_path: Path, ports: Ports) -> Path:
    """A folder with one tank file that the journal took in."""
    folder = tmp_path / "tanks"
    folder.mkdir()
    (folder / "study.tank.toml").write_text(FILE, encoding="utf-8")
    (done,) = mirror(ME, folder, ports)
    assert (done.tank, done.new_tank, done.added, done.written) == ("Study", True, 2, False)
    return folder


def step(folder: Path, ports: Ports) -> Mirrored:
    (done,) = mirror(ME, folder, ports)
    assert mirror(ME, folder, ports) == (Mirrored("Study", "study.tank.toml"),)
    return done


def edit(folder: Path, old: str, new: str) -> None:
    file = folder / "study.tank.toml"
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def text_of(folder: Path) -> str:
    return (folder / "study.tank.toml").read_text("utf-8")


def log(ports: Ports) -> list[str]:
    tank = open_tank(ME, "Study", ports).tank
    told = [getattr(e, "raw", "") or getattr(e, "text", "") for e in tank.events]
    return told + [reading.value.raw for reading in tank.readings]


def number(ports: Ports, said: str) -> int:
    entries = open_tank(ME, "Study", ports, 100).entries
    return next(e.number for e in entries if said in e.raw)


def note(ports: Ports, text: str) -> None:
    at = parse_tank_text(FILE).readings[0].at
    record(ME, "Study", Line("note", (text,), at), ports)


def test_a_file_keeps_its_comments_while_the_journal_adds_to_it(folder: Path, ports: Ports) -> None:
    assert text_of(folder) == FILE
    note(ports, "clear again")
    done = step(folder, ports)
    assert (done.written, done.added, done.findings) == (True, 0, ())
    assert text_of(folder).startswith(FILE)
    assert 'text = "clear again"' in text_of(folder)
    assert parse_tank_text(text_of(folder)).events[-1] == parse_note(text_of(folder))


def parse_note(text: str) -> Note:
    (found,) = (e for e in parse_tank_text(text).events if isinstance(e, Note))
    return found


def test_what_is_edited_in_the_file_is_new_corrected_or_undone_in_the_journal(
    folder: Path, ports: Ports
) -> None:
    edit(folder, '"0.7 mg/L as N"', '"0.3 mg/L as N"')
    edit(
        folder,
        "[[reading]]",
        '[[event]]\nat = 2026-03-04\nkind = "note"\ntext = "new"\n\n[[reading]]',
    )
    edited = text_of(folder)
    done = step(folder, ports)
    assert (done.added, done.corrected, done.undone, done.written) == (1, 1, 0, False)
    assert log(ports) == ["1 pinch", "new", "0.3 mg/L as N"]
    assert text_of(folder) == edited
    edit(folder, '[[event]]\nat = 2026-03-02T18:00:00\nkind = "feed"\namount = "1 pinch"\n', "")
    assert step(folder, ports).undone == 1
    assert log(ports) == ["new", "0.3 mg/L as N"]


def test_both_sides_may_change_as_long_as_they_change_different_things(
    folder: Path, ports: Ports
) -> None:
    correct(ME, number(ports, "0.7"), ("ammonia", "1.5 mg/L as N"), ports)
    edit_tank(ME, "Study", ("lid=yes",), ports)
    edit(folder, '"1 pinch"', '"2 pinch"')
    edit(folder, 'volume = "57 L"', 'volume = "55 L"')
    done = step(folder, ports)
    assert (done.corrected, done.described, done.written, done.clashes) == (1, True, True, ())
    assert log(ports) == ["2 pinch", "1.5 mg/L as N"]
    tank = open_tank(ME, "Study", ports).tank
    assert (tank.volume_l, tank.lid) == (55.0, True)
    # The file was written anew, so its comments are in the text that was kept.
    (kept,) = (folder / STATE / "older").iterdir()
    assert "measured with a jug" in kept.read_text("utf-8")


def test_a_thing_changed_on_both_sides_is_told_with_both_texts_and_nothing_is_lost(
    folder: Path, ports: Ports
) -> None:
    correct(ME, number(ports, "0.7"), ("ammonia", "1.5 mg/L as N"), ports)
    edit_tank(ME, "Study", ("volume=60 L",), ports)
    edit(folder, '"0.7 mg/L as N"', '"0.3 mg/L as N"')
    edit(folder, 'volume = "57 L"', 'volume = "55 L"')
    done = step(folder, ports)
    told = [(clash.kind, clash.standing, clash.other) for clash in done.clashes]
    assert told == [
        ("changed", "2026-03-03 ammonia 1.5 mg/L as N", "2026-03-03 ammonia 0.3 mg/L as N"),
        ("description", "volume_l: 60.0", "volume_l: 55.0"),
    ]
    assert log(ports)[-1] == "1.5 mg/L as N"
    (kept,) = (folder / STATE / "older").iterdir()
    assert '"0.3 mg/L as N"' in kept.read_text("utf-8")
    assert '"1.5 mg/L as N"' in text_of(folder)


def test_the_same_change_on_both_sides_is_one(folder: Path, ports: Ports) -> None:
    correct(ME, number(ports, "0.7"), ("ammonia", "0.3 mg/L as N"), ports)
    edit(folder, '"0.7 mg/L as N"', '"0.3 mg/L as N"')
    done = step(folder, ports)
    assert (done.corrected, done.clashes, done.written) == (0, (), False)
    assert log(ports) == ["1 pinch", "0.3 mg/L as N"]


def test_undone_in_the_journal_is_gone_from_the_file(folder: Path, ports: Ports) -> None:
    undo(ME, ports, number=number(ports, "1 pinch"))
    assert step(folder, ports).written
    assert "pinch" not in text_of(folder)
    undo(ME, ports, number=number(ports, "0.7"))
    edit(folder, '"0.7 mg/L as N"', '"0.3 mg/L as N"')
    (clash,) = step(folder, ports).clashes
    assert (clash.kind, clash.standing) == ("changed", "")


def test_a_broken_file_is_left_alone_and_told_of(folder: Path, ports: Ports) -> None:
    note(ports, "kept meanwhile")
    broken = text_of(folder).replace("ammonia", "amonia")
    (folder / "study.tank.toml").write_text(broken, encoding="utf-8")
    (folder / "new.tank.toml").write_text("format = ", encoding="utf-8")
    done = mirror(ME, folder, ports)
    assert {one.file for one in done} == {"new.tank.toml", "study.tank.toml"}
    assert all(one.findings[0].severity == "problem" for one in done)
    assert text_of(folder) == broken
    edit(folder, "amonia", "ammonia")
    (folder / "new.tank.toml").unlink()
    assert step(folder, ports).written
    assert "kept meanwhile" in text_of(folder)


def test_a_file_that_went_missing_is_written_again(folder: Path, ports: Ports) -> None:
    (folder / "study.tank.toml").unlink()
    done = step(folder, ports)
    assert [finding.key for finding in done.findings] == ["mirror-file-back"]
    assert [r.value.raw for r in parse_tank_text(text_of(folder)).readings] == ["0.7 mg/L as N"]
    assert log(ports) == ["1 pinch", "0.7 mg/L as N"]


def test_a_kill_between_any_two_steps_is_mended_by_the_next_run(folder: Path, ports: Ports) -> None:
    state = next((folder / STATE).glob("*.json"))
    before = state.read_text("utf-8")
    edit(folder, '"0.7 mg/L as N"', '"0.3 mg/L as N"')
    note(ports, "told meanwhile")
    edited = text_of(folder)
    mirror(ME, folder, ports)
    state.write_text(before, encoding="utf-8")  # killed before the state was kept
    step(folder, ports)
    assert log(ports) == ["1 pinch", "told meanwhile", "0.3 mg/L as N"]
    state.write_text(before, encoding="utf-8")  # killed before the file was written
    (folder / "study.tank.toml").write_text(edited, encoding="utf-8")
    step(folder, ports)
    assert log(ports) == ["1 pinch", "told meanwhile", "0.3 mg/L as N"]


def test_a_file_of_a_tank_that_is_there_is_joined_with_it(tmp_path: Path, ports: Ports) -> None:
    folder = tmp_path / "tanks"
    folder.mkdir()
    (folder / "study.tank.toml").write_text(FILE, encoding="utf-8")
    import_file(ME, folder / "study.tank.toml", Asked(), ports)
    note(ports, "in the journal alone")
    edit(folder, "# the first week", '[[event]]\nat = 2026-03-05\nkind = "note"\ntext = "file"\n')
    done = step(folder, ports)
    assert (done.added, done.written, done.clashes) == (1, True, ())
    assert sorted(log(ports)) == ["0.7 mg/L as N", "1 pinch", "file", "in the journal alone"]


def test_what_no_tank_file_can_say_is_no_change(folder: Path, ports: Ports, tmp_path: Path) -> None:
    table = tmp_path / "odd.csv"
    table.write_text(
        "at,kind,quantity,value,low,high,unit,hour_known\n"
        "2026-03-06 03:00:00,reading,ph,7.1,,,,no\n",
        encoding="utf-8",
    )
    import_file(ME, table, Asked("Study"), ports)
    assert step(folder, ports).written
    edit(folder, '"7.1"', '"7.2"')
    assert step(folder, ports).corrected == 1
    export_tank(ME, "Study", tmp_path / "out.csv", ports)


def test_a_spoiled_state_is_refused_with_a_remedy(folder: Path, ports: Ports) -> None:
    next((folder / STATE).glob("*.json")).write_text("{}", encoding="utf-8")
    with pytest.raises(BadInput) as raised:
        mirror(ME, folder, ports)
    assert raised.value.problems[0].key == "mirror-state-bad"
