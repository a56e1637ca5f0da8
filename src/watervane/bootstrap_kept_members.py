"""Members of a tank's last forecast, kept beside the compiled programs for another process.

They can be found again by fitting, which takes a while: so a worker leaves them here, and care or a
move that is asked for on the command line begins from them. What lies long ago is left out.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zipfile import BadZipFile

from watervane.bootstrap_kept_answers import kept_place, write_whole

if TYPE_CHECKING:
    from watervane.engine import CarriedTank


def keep_members(key: str, tank: CarriedTank) -> None:
    """Keep them in place of those before; a full disk is no failure."""
    import numpy as np

    from watervane.engine import to_arrays

    arrays: dict[str, Any] = {**to_arrays(replace(tank, earlier=(), old=None, past=None))}

    def write(part: Path) -> None:
        with part.open("wb") as out:  # a name would get another ending
            np.savez_compressed(out, **arrays)

    write_whole(_place(key), write)


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
    return kept_place("members", ("members", key), "npz")
