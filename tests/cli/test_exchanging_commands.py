"""Tanks leave the journal and come back from the shell, and every mistake has its answer."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from typer.testing import CliRunner

from watervane.bootstrap import real_ports
from watervane.cli.program import program

TABLE = "Date,NH4 (mg/l),pH\n2026-03-12,0.25,7.2\n2026-03-13,lots,7.1\n2026-03-14,0.1,7\n"


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WATERVANE_JOURNAL", "")  # put back as it was in the end
    use("one")
    ok("tank", "add", "Study", "filled=2026-03-01", "volume=57 L")
    ok("record", "reading", "ammonia", "0.7 mg/L as N", "--at", "2026-03-10 19:00")
    ok("record", "note", "=clear again", "--at", "2026-03-11 19:00")


def use(name: str) -> None:
    os.environ["WATERVANE_JOURNAL"] = str(Path(name, "journal.sqlite").absolute())


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(program, list(words), obj=real_ports)
    return done.exit_code, " ".join(f"{done.stdout}{done.stderr}".split())


def ok(*words: str) -> str:
    code, said = run(*words)
    assert code == 0, said
    return said


def bad(*words: str) -> str:
    code, said = run(*words)
    assert code == 2, said
    return said


def test_everything_goes_to_another_journal_and_back_byte_for_byte() -> None:
    ok("correct", "2", "ammonia", "0.3 mg/L as N")
    ok("undo", "--entry", "3")
    ok("record", "feed", "1 pinch", "--at", "2026-03-12", "--key", "phone-1")
    ok("export", "study", "study.json")
    use("two")
    assert "Study is in the journal now. Entries: 6." in ok("import", "study.json")
    ok("export", "Study", "again.json")
    assert Path("again.json").read_bytes() == Path("study.json").read_bytes()
    assert "0 new entries. There already, and skipped: 6." in ok("import", "study.json")
    again = ("record", "feed", "1 pinch", "--at", "2026-03-12", "--key", "phone-1")
    assert "was not written again" in ok(*again)
    assert json.loads(Path("again.json").read_text("utf-8"))["format"] == "watervane-journal/1"


def test_a_tank_file_and_a_table_bring_the_log_along() -> None:
    for name in ("study.tank.toml", "study.csv"):
        said = ok("export", "Study", name)
        assert "Entries: 2." in said
        assert "0 new entries. There already, and skipped: 2." in ok("import", name)
    assert '"\'=clear again"' in Path("study.csv").read_text("utf-8")
    use("two")
    assert "new tank with 2 entries" in ok("import", "study.tank.toml", "--preview")
    ok("import", "study.tank.toml")
    ok("undo")
    ok("tank", "add", "Study", "filled=2026-03-01", "volume=57 L")
    assert "2 new entries" in ok("import", "study.csv")
    assert "=clear again" in ok("tank", "show", "Study")


def test_nothing_is_written_over_unless_told() -> None:
    ok("export", "Study", "study.json")
    assert "is there already" in bad("export", "Study", "study.json")
    ok("export", "Study", "study.json", "--over")
    assert "ends in one of: .json, .toml and .csv" in bad("export", "Study", "study.xml")
    assert "You have no tank 'Den'" in bad("export", "Den", "den.json")


def test_a_half_bad_table_brings_nothing_unless_the_good_rows_are_asked_for() -> None:
    Path("log.csv").write_text(TABLE, encoding="utf-8")
    said = bad("import", "log.csv")
    assert "line 3, column 'NH4 (mg/l)': ammonia reading: 'lots' is not a number" in said
    assert "Nothing was taken in, though the rows not named here are fine (2)" in said
    assert "Entries" not in said
    preview = bad("import", "log.csv", "--preview")
    assert "NH4 (mg/l) ammonia in mg/L of its header" in preview
    assert "line 2: Thursday 12 March 2026: ammonia 0.25 mg/L; pH 7.2" in preview
    assert "Nothing was written. Study would get 4 new entries" in preview
    assert "4 new entries. There already, and skipped: 0." in ok("import", "log.csv", "--good-rows")
    assert "0 new entries. There already, and skipped: 4." in ok("import", "log.csv", "--good-rows")
    ok("undo")
    assert "4 new entries" in ok("import", "log.csv", "--good-rows")


def test_a_corrected_row_is_not_brought_back_by_the_same_table() -> None:
    Path("log.csv").write_text("Date,pH\n2026-03-12,7.2\n", encoding="utf-8")
    ok("import", "log.csv")
    ok("correct", "4", "ph", "6.9")
    assert "0 new entries. There already, and skipped: 1." in ok("import", "log.csv")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("import", "nowhere.csv"), "There is no file"),
        (("import", "."), "is a folder"),
        (("import", "log.csv", "--decimal", "dot"), "--decimal: 'dot' is not known"),
        (("import", "log.csv", "--column", "Ph=ph"), "--rest nothing"),
        (("import", "log.csv", "--tank", "Den"), "You have no tank 'Den'"),
        (("import", "study.json", "--rest", "note"), "has no columns and rows"),
        (("import", "study.json", "--tank", "Den"), "is of 'Study', not of 'Den'"),
        (("import", "one/journal.sqlite"), "watervane merge FILE"),
        (("import", "sheet.xlsx"), "Save it there as CSV"),
        (("import", "other.tank.toml"), "is described otherwise (volume_l)"),
        (("import", "cut.json"), "This is no JSON"),
        (("merge", "nowhere.sqlite"), "There is no copy"),
        (("merge", "log.csv"), "is damaged"),
        (("mirror", "log.csv"), "cannot be written"),
    ],
    ids=lambda each: " ".join(each)[:40] if isinstance(each, tuple) else "",
)
def test_every_mistake_is_answered_with_what_would_be_accepted(
    words: tuple[str, ...], said: str
) -> None:
    Path("log.csv").write_text("Date,pH,Mood\n2026-03-12,7.2,good\n", encoding="utf-8")
    ok("export", "Study", "study.json")
    Path("cut.json").write_text(Path("study.json").read_text("utf-8")[:400], encoding="utf-8")
    Path("sheet.xlsx").write_bytes(b"PK\x03\x04")
    ok("export", "Study", "other.tank.toml")
    text = Path("other.tank.toml").read_text("utf-8").replace("57 L", "60 L")
    Path("other.tank.toml").write_text(text, encoding="utf-8")
    assert said in bad(*words)
    assert "2 new" not in ok("tank", "show", "Study")


def test_two_journals_become_one_and_say_what_they_contradict_in() -> None:
    ok("backup", "copy.sqlite")
    ok("correct", "2", "ammonia", "0.3 mg/L as N")
    use("two")
    ok("restore", "copy.sqlite")
    ok("correct", "2", "ammonia", "0.5 mg/L as N")
    ok("record", "note", "on the other side")
    before = Path("two/journal.sqlite").read_bytes()
    use("one")
    said = ok("merge", "two/journal.sqlite")
    assert "Study: 2 entries were new. In both already: 3." in said
    assert "What counts is 'ammonia 0.5 mg/L as N' (entry 5); the other says 'reading" in said
    assert Path("two/journal.sqlite").read_bytes() == before
    assert "0 entries were new" in ok("merge", "two/journal.sqlite")
    assert "on the other side" in ok("tank", "show", "Study")


def test_a_folder_mirrors_the_journal() -> None:
    assert "Study (study.tank.toml): file written." in ok("mirror", "tanks")
    file = Path("tanks/study.tank.toml")
    text = file.read_text("utf-8")
    file.write_text(text.replace("0.7 mg/L", "0.3 mg/L"), encoding="utf-8")
    assert "entries put right: 1" in ok("mirror", "tanks")
    assert "Study (study.tank.toml): in step." in ok("mirror", "tanks")
    file.write_text("format = ", encoding="utf-8")
    assert "study.tank.toml was left as it is" in bad("mirror", "tanks")


def test_the_schema_of_a_document_is_printed() -> None:
    assert json.loads(ok("schema", "--journal"))["$id"] == "urn:watervane-journal/1"
