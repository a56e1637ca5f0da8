"""Small files that only their owner may read, replaced whole or not at all."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

OWN_FILE, OWN_FOLDER = 0o600, 0o700


def own_folder(folder: Path) -> Path:
    """A folder for one user's eyes; it is made where there is none."""
    folder.mkdir(mode=OWN_FOLDER, parents=True, exist_ok=True)
    folder.chmod(OWN_FOLDER)
    return folder


def write_own(path: Path, data: bytes) -> None:
    """Write a file that was never readable by others, not even for a moment."""
    part = path.with_name(f"{path.name}.{secrets.token_hex(4)}.part")
    opened = os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, OWN_FILE)
    try:
        with os.fdopen(opened, "wb") as written:
            written.write(data)
            written.flush()
            os.fsync(written.fileno())
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def read_own(path: Path) -> bytes | None:
    """A file of ours; one that others could read is closed to them first."""
    try:
        if path.stat().st_mode & 0o077:
            path.chmod(OWN_FILE)
        return path.read_bytes()
    except FileNotFoundError:
        return None
