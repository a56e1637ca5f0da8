"""Jobs and newest results as rows, and back."""

from __future__ import annotations

import json
import zlib
from dataclasses import fields
from typing import Any

from sqlalchemy import Connection, Row, and_, insert, select, update

from watervane.journal.entries import unpacked
from watervane.journal.tables import results
from watervane.records import FULL, Finding, Job, KeptResult

_JOB = tuple(f.name for f in fields(Job) if f.name not in ("tank", "why"))
_RESULT = tuple(field.name for field in fields(KeptResult))


def kept_job(row: Row[Any]) -> Job:
    """A job from its row."""
    why = None
    if row.why_key is not None:
        why = Finding(row.why_key, "problem", json.loads(row.why_arguments or "{}"))
    return Job(**{name: getattr(row, name) for name in _JOB}, tank=row.tank_key, why=why)


def why_row(why: Finding | None) -> dict[str, str | None]:
    """The columns that tell why a job ended badly."""
    if why is None:
        return {"why_key": None, "why_arguments": None}
    told = json.dumps(dict(why.arguments), default=str, ensure_ascii=False)
    return {"why_key": why.key, "why_arguments": told}


def kept_result(row: Row[Any]) -> KeptResult:
    """A result from its row."""
    told = {name: getattr(row, name) for name in _RESULT}
    return KeptResult(**{**told, "document": unpacked(row.document)})


def result_row(result: KeptResult) -> dict[str, Any]:
    """The columns that hold a result."""
    told = {name: getattr(result, name) for name in _RESULT}
    return {**told, "document": zlib.compress(result.document.encode())}


def keep_newest(connection: Connection, tank: str, result: KeptResult) -> bool:
    """Keep a result in place of the one that is kept, unless that is better; whether it was."""
    place = and_(results.c.tank_key == tank, results.c.kind == result.kind)
    old = connection.execute(select(results).where(place)).first()
    if old is None:
        connection.execute(insert(results).values(tank_key=tank, **result_row(result)))
        return True
    if takes_its_place(result, old):
        connection.execute(update(results).where(place).values(**result_row(result)))
        return True
    return False


def takes_its_place(new: KeptResult, old: Row[Any]) -> bool:
    """Whether a result is to be read in place of the one that is kept.

    One of more entries always is. Of the same entries a full one is never replaced by a
    provisional one, nor a later one by an earlier.
    """
    return (new.newest_entry, new.grade == FULL, new.as_of) >= (
        old.newest_entry,
        old.grade == FULL,
        old.as_of,
    )
