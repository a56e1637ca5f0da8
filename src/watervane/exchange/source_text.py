"""From a path to a parsed document, or to the one reason why there is none."""

from __future__ import annotations

import difflib
import re
import tomllib
from pathlib import Path as FilePath
from typing import Any, NoReturn

from watervane.exchange.meant import date_part, meant_date
from watervane.exchange.problems import fail, shown

MOST_MEGABYTES = 32
LOG_COLUMNS = ("day", "quantity", "value")

_PLACE = re.compile(r"\s*\(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$")
_UNQUOTED = re.compile(r"=\s*(?P<value>[<>~]?=?\s*[+-]?\.?[0-9][^\"'#,{}\[\]]*)")
_ASSIGNED = re.compile(r"=\s*")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_NO_SECONDS = re.compile(r"(?P<value>[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2})(?![0-9:])")


def read_text(path: FilePath) -> str:
    """The text of a file; it is opened for reading only.

    Raises
    ------
    TankFileErrors
        If it is missing, no file, too large or not UTF-8.
    """
    try:
        if path.is_dir():
            fail("file-is-folder", file=shown(path.name))
        if not path.exists():
            near = _near_file(path)
            if near:
                fail("file-missing-near", file=shown(str(path)), near=shown(near))
            fail("file-missing", file=shown(str(path)))
        if not path.is_file():
            fail("file-not-plain", file=shown(path.name))
        with path.open("rb") as stream:
            raw = stream.read(MOST_MEGABYTES * 1_000_000 + 1)
    except (OSError, ValueError) as error:
        fail("file-unreadable", why=shown(getattr(error, "strerror", None) or str(error)))
    if len(raw) > MOST_MEGABYTES * 1_000_000:
        fail("file-too-big", most_mb=MOST_MEGABYTES)
    return decoded(raw)


def _near_file(path: FilePath) -> str | None:
    """The tank file or log in the same folder that is named most like one that is not there."""
    try:
        there = [p.name for p in path.parent.iterdir() if p.suffix.lower() in (".toml", ".csv")]
    except OSError:
        return None
    wanted = path.name if path.suffix else f"{path.name}.tank.toml"
    close = difflib.get_close_matches(wanted, there, n=1, cutoff=0.6)
    return str(path.with_name(close[0])) if close else None


def decoded(raw: bytes) -> str:
    """UTF-8 text with plain line ends; a byte-order mark is dropped."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        fail("utf16", line=1)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        column = error.start - (raw.rfind(b"\n", 0, error.start) + 1) + 1
        byte = f"0x{raw[error.start]:02x}"
        fail("not-utf8", line=line, byte=byte, offset=error.start + 1, column=column)
    return text.replace("\r\n", "\n")


def looks_like_log(text: str) -> bool:
    """Whether a text is a log kept as CSV: its first line names the columns of one."""
    first = text.lstrip().partition("\n")[0].lower()
    return set(LOG_COLUMNS) <= {word.strip().strip('"') for word in first.split(",")}


def parsed(text: str) -> dict[str, Any]:
    """The document as plain dictionaries, or the one syntax error in it."""
    if not text.strip():
        fail("file-empty")
    if looks_like_log(text):
        fail("log-not-tank-file", line=1)
    try:
        return tomllib.loads(text)
    except RecursionError:
        fail("syntax-nested")
    except ValueError as error:
        if not isinstance(error, tomllib.TOMLDecodeError):
            fail("number-huge", line=_longest_digits(text))
        _fail_syntax(str(error), text)


def _longest_digits(text: str) -> int:
    """Line of the longest run of digits: the reader refuses endless integers."""
    runs = re.finditer(r"[0-9_]{1000,}", text)
    longest = max(runs, key=lambda run: len(run[0]), default=None)
    return text.count("\n", 0, longest.start() if longest else 0) + 1


def _fail_syntax(message: str, text: str) -> NoReturn:
    place = _PLACE.search(message)
    said = message[: place.start()] if place else message
    lines = text.split("\n")
    line, column = len(lines), 1
    if place and place["line"]:
        line, column = int(place["line"]), int(place["column"])
    written = lines[line - 1] if line <= len(lines) else ""
    told = {"column": column, "said": shown(said), "written": shown(written.strip())}
    seconds = _NO_SECONDS.search(written)
    unquoted = _UNQUOTED.search(written)
    dated = _other_date(written)
    if "overwrite" in said or "Duplicate" in said or "twice" in said or "mutate" in said:
        fail("syntax-twice", line=line, **told)
    if "Invalid date" in said:
        fail("syntax-date", line=line, **told)
    if seconds and '"' not in written[: seconds.start()]:
        fail("syntax-seconds", line=line, **told, value=shown(seconds["value"]))
    if dated:
        day = meant_date(dated)
        told["value"] = shown(dated)
        if day is None:
            fail("syntax-date-order", line=line, **told)
        fail("syntax-date-order-near", line=line, **told, near=day.isoformat())
    if unquoted and not _DATE.match(unquoted["value"]):
        fail("syntax-quotes", line=line, **told, value=shown(unquoted["value"].strip()))
    fail("syntax", line=line, **told)


def _other_date(line: str) -> str:
    """The first value of a line that is a date, but not written as TOML writes dates."""
    found = (date_part(line[sign.end() :]) for sign in _ASSIGNED.finditer(line))
    return next((dated for dated in found if dated and not _DATE.match(dated)), "")
