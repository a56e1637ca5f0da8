"""Drawings of forecasts, made once for each forecast and kept while they are asked for."""

from __future__ import annotations

import json
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from datetime import UTC, datetime
from functools import cache
from importlib import metadata

from watervane.app.day_lines import days_of_picture
from watervane.charts import Picture
from watervane.charts.colonies_spec import ColoniesPicture
from watervane.charts.ledger_spec import LedgerPicture
from watervane.charts.living import (
    living_digest,
    living_drawing,
    living_script,
    still_colonies,
    still_drawing,
    still_ledger,
)
from watervane.web.assets import Asset, asset_of

KEPT = 64


class Drawings:
    """The last drawings, as they are sent; one is made at a time."""

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, Asset] = OrderedDict()
        self._making = threading.Lock()

    def still(self, picture: Picture, mark: str, look: str, *, narrow: bool) -> Asset:
        """The SVG of a picture that ``mark`` tells from all others."""
        return self._asset(
            (mark, look, narrow), "drawing.svg", lambda: still_drawing(picture, look, narrow=narrow)
        )

    def inside(
        self, picture: LedgerPicture | ColoniesPicture, mark: str, look: str, *, narrow: bool
    ) -> Asset:
        """The SVG of a ledger or of colonies that ``mark`` tells from all others."""

        def made() -> str:
            if isinstance(picture, LedgerPicture):
                return still_ledger(picture, look, narrow=narrow)
            return still_colonies(picture, look, narrow=narrow)

        return self._asset((mark, look, narrow), "drawing.svg", made)

    def living(self, picture: Picture, mark: str, basis: str) -> Asset:
        """What the script draws it from, and what it tells of each day."""
        return self._asset((mark, "living"), "drawing.json", lambda: _json(picture, basis))

    def _asset(self, key: Hashable, name: str, make: Callable[[], str]) -> Asset:
        with self._making:
            if key not in self._kept:
                self._kept[key] = asset_of(name, make().encode())
                while len(self._kept) > KEPT:
                    self._kept.popitem(last=False)
            self._kept.move_to_end(key)
            return self._kept[key]


def _json(picture: Picture, basis: str) -> str:
    days = [
        {"at": _clock_ms(each.at), "date": each.date, "values": each.values,
         "happened": each.happened}
        for each in days_of_picture(picture, basis)
    ]  # fmt: skip
    told = {
        **living_drawing(picture),
        "days": {"days": days, "asOf": _clock_ms(picture.forecast.as_of)},
    }
    return json.dumps(told, allow_nan=False, separators=(",", ":"))


def _clock_ms(moment: datetime) -> int:
    """Milliseconds of the clock on the wall, as the drawing counts them."""
    return round(moment.replace(tzinfo=UTC).timestamp() * 1000)


def script_path() -> str:
    """The address of the drawing script, known before it is put together."""
    return f"/drawing/{script_version()}/living.js"


@cache
def script_version() -> str:
    """Changes with the package that holds the drawing library, and with ours."""
    return f"{living_digest()}-{metadata.version('vl-convert-python')}"


@cache
def script() -> Asset:
    """The drawing script; it takes a second to put together, once in each process."""
    return asset_of("living.js", living_script().encode())
