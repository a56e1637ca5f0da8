"""What took a minute to find out, kept beside the compiled programs: it can be found again."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from watervane.records import Headroom, Ways
from watervane.records.care import CareSchedule
from watervane.records.questions import CARE, HEADROOM, RESETTLE, WAYS, KeptAnswer, Question
from watervane.records.resettling import Resettling

KINDS: dict[str, type[Headroom | Ways | CareSchedule | Resettling]] = {
    HEADROOM: Headroom,
    WAYS: Ways,
    CARE: CareSchedule,
    RESETTLE: Resettling,
}


def keep(question: Question, text: str) -> None:
    """Keep an answer, as it was sent, in place of the one before; a full disk is no failure."""
    from watervane.exchange import record_text

    made_at = datetime.now(UTC).isoformat()
    whole = "\n".join((made_at, record_text.record_text(question), text))
    place = _place(question.kind, question.owner, question.tank)
    write_whole(place, lambda part: part.write_text(whole, encoding="utf-8"))


def read_kept(kind: str, owner: str, tank: str) -> KeptAnswer | None:
    """The last answer of a kind about a tank; one that can no longer be read is none."""
    from watervane.exchange import TankFileErrors
    from watervane.exchange.record_text import record_of_text

    with suppress(OSError, ValueError, TankFileErrors):
        text = _place(kind, owner, tank).read_text(encoding="utf-8")
        made_at, question, told = text.split("\n")
        return KeptAnswer(
            record_of_text(Question, question),
            record_of_text(KINDS[kind], told),
            datetime.fromisoformat(made_at),
        )
    return None


def _place(kind: str, owner: str, tank: str) -> Path:
    return kept_place("answers", (kind, owner, tank), "json")


def kept_place(folder: str, whose: Sequence[str], suffix: str) -> Path:
    """Where something is kept of this journal, by the words that tell it from all else there."""
    from watervane.journal import usual_place

    words = "\n".join((str(usual_place()), *whose))
    name = hashlib.sha256(words.encode()).hexdigest()[:32]
    return cache_folder() / folder / f"{name}.{suffix}"


def write_whole(place: Path, write: Callable[[Path], object]) -> None:
    """Write a file whole or not at all, in place of the one before; a full disk is no failure."""
    part = place.with_suffix(f".{os.getpid()}.part")
    with suppress(OSError):
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write(part)
        part.replace(place)


def cache_folder() -> Path:
    """Where things are kept that can be made again; ``WATERVANE_CACHE`` overrides it."""
    told = os.environ.get("WATERVANE_CACHE", "").strip()
    if told:
        return Path(told)
    local = os.environ.get("LOCALAPPDATA") if sys.platform == "win32" else None
    usual = local or os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(usual) / "watervane"
