"""Members of a tank's last forecast, kept beside the compiled programs for another process.

They can be found again by fitting, which takes a while: so a worker leaves them here, and care or a
move that is asked for on the command line begins from them. What lies long ago is left out.
"""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zipfile import BadZipFile

from watervane.bootstrap_kept_answers import cache_folder

if TYPE_CHECKING:
    from watervane.engine import CarriedTank


def keep_members(key: str, tank: CarriedTank) -> None:
    """Keep them in place of those before; a full disk is no failure."""
    import numpy as np

    from watervane.engine import to_arrays

    place = _place(key)
    part = place.with_suffix(f".{os.getpid()}.part")
    with suppress(OSError):
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with part.open("wb") as out:
            arrays: dict[str, Any] = {**to_arrays(replace(tank, earlier=(), old=None, past=None))}
            np.savez_compressed(out, **arrays)
        part.replace(place)


def kept_members(key: str) -> CarriedTank | None:
    """Those kept of a tank; none where there are none, or another model made them."""
    place = _place(key)
    if not place.exists():
        return None
    import numpy as np

    from watervane.engine import KeptStateError, from_arrays

    try:
        with place.open("rb") as file, np.load(file, allow_pickle=False) as arrays:
            return from_arrays({name: arrays[name] for name in arrays.files})
    except (OSError, ValueError, KeyError, BadZipFile, KeptStateError):
        return None


def _place(key: str) -> Path:
    from watervane.journal import usual_place

    whose = "\n".join((str(usual_place()), "members", key))
    return cache_folder() / "members" / f"{hashlib.sha256(whose.encode()).hexdigest()[:32]}.npz"
