"""Write a text or bytes to a file, whole or not at all."""

from __future__ import annotations

import os
import uuid
from contextlib import suppress
from pathlib import Path as FilePath

from watervane.exchange.problems import fail, shown


def write_whole(target: FilePath, text: str | bytes, *, over: bool) -> None:
    """Give a file its content in one step, on the disk when this returns.

    Parameters
    ----------
    target
        Its folder is made where it is missing.
    text
        Written as UTF-8, line ends as they are; bytes as they are.
    over
        Whether a file that is there may be replaced.

    Raises
    ------
    TankFileErrors
        Where it cannot be written; what was there is untouched then.
    """
    if target.exists() and not over:
        fail("export-there", file=shown(str(target)))
    part = target.with_name(f".{target.name}.{uuid.uuid4().hex}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with part.open("xb") as file:
            file.write(text.encode("utf-8") if isinstance(text, str) else text)
            file.flush()
            os.fsync(file.fileno())
        part.replace(target)
        _settle(target.parent)
    except OSError as error:
        why = shown(error.strerror or str(error))
        fail("export-unwritten", file=shown(str(target)), why=why)
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _settle(folder: FilePath) -> None:
    with suppress(OSError):  # some systems do not open folders
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)
