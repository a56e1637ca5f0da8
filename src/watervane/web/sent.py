"""What a form sent: words as they were typed, and files laid down for the time of one request."""

from __future__ import annotations

import shutil
import tempfile
import uuid
from collections.abc import AsyncIterator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import UploadFile

from watervane.app import BadInput
from watervane.web.forms.when import BadMoment, moment_typed

MOST_FIELDS, MOST_FILES = 120, 6
LONGEST = 20_000
LONGER = {"table": 600_001}  # one more than is taken, so that too much is seen
REQUEST = "request"
PASSED = "entry-fallen"  # what was to be put right or undone does not stand any more


@dataclass(frozen=True)
class Sent:
    """Typed words and files, by the names of their fields."""

    typed: Mapping[str, str]
    files: Mapping[str, tuple[Path, ...]] = field(default_factory=dict)

    @property
    def request(self) -> str:
        """The form's own name for what it writes: sent twice, it is written once."""
        return self.typed.get(REQUEST) or new_request()


def new_request() -> str:
    """A name for a write, put into a form when it is shown."""
    return uuid.uuid4().hex


def moment_tapped(sent: Sent) -> date | datetime | None:
    """When one tap was made, where it had to wait for a network; ``None`` for now."""
    try:
        return moment_typed(sent.typed)
    except BadMoment as error:
        raise BadInput([error.finding]) from None


async def _sent(request: Request) -> AsyncIterator[Sent]:
    async with request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS) as form:
        typed: dict[str, str] = {}
        files: dict[str, tuple[Path, ...]] = {}
        with ExitStack() as kept:
            for name, told in form.multi_items():
                if isinstance(told, UploadFile):
                    if told.filename and told.size:
                        folder = kept.enter_context(_folder())
                        files[name] = (*files.get(name, ()), _laid_down(told, Path(folder)))
                else:
                    typed[name] = told[: LONGER.get(name, LONGEST)].replace("\r\n", "\n")
            yield Sent(typed, files)


def _folder() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="watervane-sent-")


def _laid_down(upload: UploadFile, folder: Path) -> Path:
    """The bytes of an upload as a file; of its name only the ending is believed."""
    name = (upload.filename or "").lower()
    ending = next((each for each in (".tank.toml", ".toml", ".csv") if name.endswith(each)), ".bin")
    path = folder / f"sent{ending}"
    with path.open("wb") as opened:
        shutil.copyfileobj(upload.file, opened)
    return path


AsSent = Annotated[Sent, Depends(_sent)]
