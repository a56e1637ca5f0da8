"""What sort of file lies before us, by what stands in it."""

from __future__ import annotations

from pathlib import Path as FilePath

from watervane.exchange.csv_text import TableText, read_table_text
from watervane.exchange.foreign_table import read_foreign_table
from watervane.exchange.own_table import is_own, read_own_table
from watervane.exchange.problems import fail, shown
from watervane.exchange.source_text import looks_like_log
from watervane.records import TableRead, Tank

JOURNAL, TANK, TABLE = "journal", "tank", "table"
_LOOKED_AT = 4096
_SHEETS = (".xls", ".xlsx", ".ods", ".numbers")


def sort_of_file(path: FilePath) -> str:
    """``journal`` for a document of a journal, ``tank`` for a tank file or log, else ``table``.

    Raises
    ------
    TankFileErrors
        Where there is no file, or one that is none of them.
    """
    if not path.exists():
        fail("file-missing", file=shown(str(path)))
    if path.is_dir():
        fail("file-is-folder", file=shown(path.name))
    try:
        with path.open("rb") as opened:
            raw = opened.read(_LOOKED_AT)
    except OSError as error:
        fail("file-unreadable", why=shown(error.strerror or str(error)))
    if path.suffix.lower() in _SHEETS or raw.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        fail("table-is-sheet", file=shown(path.name))
    if raw.startswith(b"SQLite format 3\x00"):
        fail("import-is-journal", file=shown(path.name))
    text = raw.decode("utf-8", errors="replace").removeprefix("\ufeff").lstrip()
    if text.startswith(("{", "[")) and path.suffix.lower() != ".toml":
        return JOURNAL
    if path.suffix.lower() == ".toml":
        return TANK
    if looks_like_log(text) and path.with_suffix(".toml").exists():
        return TANK
    return TABLE


def read_table(
    path: FilePath,
    tank: Tank,
    *,
    columns: tuple[str, ...] = (),
    dates: str | None = None,
    decimal: str | None = None,
    rest: str | None = None,
) -> TableRead:
    """Read a table of our own or of a stranger's making, for a tank.

    Raises
    ------
    TankFileErrors
        Where it cannot be read as a table, or what was told of it does not fit.
    """
    text: TableText = read_table_text(path)
    if is_own(text.header):
        if columns or dates or decimal or rest:
            fail("table-own-told", file=shown(path.name))
        return read_own_table(text, tank)
    return read_foreign_table(text, tank, columns=columns, dates=dates, decimal=decimal, rest=rest)
