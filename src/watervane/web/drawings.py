"""Drawings of forecasts, made once for each forecast and kept while they are asked for."""

from __future__ import annotations

import hashlib
import json
import os
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import Any

from watervane.app.day_lines import days_of_picture
from watervane.charts import Picture
from watervane.charts.colonies_spec import ColoniesPicture
from watervane.charts.ledger_spec import LedgerPicture
from watervane.charts.living import (
    coloured,
    living_digest,
    living_drawing,
    own_part,
    still_colonies,
    still_drawing,
    still_ledger,
)
from watervane.charts.within_page import within_page
from watervane.web.assets import Asset, asset_of
from watervane.web.drawer import DRAWER, CannotDraw, Drawer

KEPT = 128
WIDTHS = ("wide", "narrow")
MOST_ON_DISK = 400
WHOLE = "\n// whole\n"  # how a script ends that was written to its end
_SCRIPT_LOCK = threading.Lock()


@dataclass(frozen=True, slots=True)
class Within:
    """A still drawing as parts of a page, one for each width of windows."""

    wide: str
    narrow: str


class Drawings:
    """The last drawings, as they are sent.

    Parameters
    ----------
    cache
        Where drawings are kept from one start to the next, by all that they are drawn from.
    """

    def __init__(self, cache: Callable[[], Path] | None = None) -> None:
        self._kept: OrderedDict[Hashable, Asset] = OrderedDict()
        self._bare: OrderedDict[tuple[str, str], str] = OrderedDict()
        self._one = threading.Lock()
        self._cache = cache
        self._drawing = threading.Lock()

    def still(self, picture: Picture, mark: str, look: str, *, narrow: bool) -> Asset:
        """The SVG of a picture that ``mark`` tells from all others."""

        def made() -> str:
            return coloured(self._uncoloured(picture, mark, narrow=narrow), look)

        return self._asset((mark, look, narrow), "drawing.svg", made)

    def within(self, mark: str) -> Within | None:
        """Both widths as parts of a page, where both were drawn before: no page waits for it."""
        with self._one:
            found = [self._bare.get((mark, width)) for width in WIDTHS]
        if None in found:
            return None
        return Within(*(str(each) for each in found))

    def kept_still(self, mark: str, look: str, *, narrow: bool) -> Asset | None:
        """The same without any picture, where it was asked for or drawn ahead."""
        return self._known((mark, look, narrow))

    def kept_living(self, mark: str) -> Asset | None:
        """What `living` made before."""
        return self._known((mark, "living"))

    def _uncoloured(self, picture: Picture, mark: str, *, narrow: bool) -> str:
        """Drawn in names of colours; what a page can hold of it is kept in mind."""
        svg = self._drawn(still_drawing(picture, narrow=narrow))
        width = WIDTHS[int(narrow)]
        with self._one:
            self._bare[mark, width] = within_page(svg, f"still-{width}")
            while len(self._bare) > KEPT:
                self._bare.popitem(last=False)
        return svg

    def ahead(self, picture: Picture, mark: str) -> None:
        """Draw both widths before anybody asks."""
        for narrow in (False, True):
            with suppress(CannotDraw):
                self._uncoloured(picture, mark, narrow=narrow)

    def inside(
        self, picture: LedgerPicture | ColoniesPicture, mark: str, look: str, *, narrow: bool
    ) -> Asset:
        """The SVG of a ledger or of colonies that ``mark`` tells from all others."""

        def made() -> str:
            if isinstance(picture, LedgerPicture):
                return DRAWER.draw(still_ledger(picture, look, narrow=narrow))
            return DRAWER.draw(still_colonies(picture, look, narrow=narrow))

        return self._asset((mark, look, narrow), "drawing.svg", made)

    def living(self, picture: Picture, mark: str, basis: str) -> Asset:
        """What the script draws it from, and what it tells of each day."""
        return self._asset((mark, "living"), "drawing.json", lambda: _json(picture, basis))

    def _asset(self, key: Hashable, name: str, make: Callable[[], str]) -> Asset:
        """Made without a lock: what is quickly made need not wait for what is drawn."""
        known = self._known(key)
        if known is not None:
            return known
        made = asset_of(name, make().encode())
        with self._one:
            self._kept[key] = made
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return made

    def _known(self, key: Hashable) -> Asset | None:
        with self._one:
            if key not in self._kept:
                return None
            self._kept.move_to_end(key)
            return self._kept[key]

    def _drawn(self, spec: Mapping[str, Any]) -> str:
        """From disk where the very same was drawn before; one at a time, so none is drawn twice."""
        if self._cache is None:
            return DRAWER.draw(spec)
        with self._drawing:
            return kept_drawing(self._cache(), spec, DRAWER.draw)


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


def script(cache: Path) -> Asset:
    """The drawing script; put together once for good, and kept in a folder for the next start.

    Parameters
    ----------
    cache
        Where things are kept that can be made again.
    """
    with _SCRIPT_LOCK:
        return _script(cache)


@cache
def _script(cache: Path) -> Asset:
    return asset_of("living.js", kept_script(cache, _bundled).encode())


def _bundled(own_part: str) -> str:
    """Put together beside whatever is drawn meanwhile: it takes the longest of all."""
    own = Drawer()
    try:
        return own.bundle(own_part)
    finally:
        own.stop()


def kept_drawing(
    cache: Path, spec: Mapping[str, Any], draw: Callable[[Mapping[str, Any]], str]
) -> str:
    """A drawing from its folder or made by ``draw``; the oldest go when there are too many.

    Parameters
    ----------
    cache
        Where things are kept that can be made again.
    spec
        What it is drawn from; another one, or another drawing library, is another file.
    draw
        Makes an SVG.
    """
    told = json.dumps(spec, allow_nan=False, sort_keys=True) + metadata.version("vl-convert-python")
    file = cache / "drawing" / f"{hashlib.sha256(told.encode()).hexdigest()[:24]}.svg"
    with suppress(OSError, UnicodeDecodeError):
        text = file.read_text(encoding="utf-8")
        if text.endswith("</svg>"):
            file.touch()
            return text
    text = draw(spec)
    with suppress(OSError):
        _put(file, text)
        kept = sorted(file.parent.glob("*.svg"), key=lambda each: each.stat().st_mtime)
        for each in kept[:-MOST_ON_DISK]:
            each.unlink(missing_ok=True)
    return text


def _put(file: Path, text: str) -> None:
    """Whole or not at all, for nobody else to read."""
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    part = file.with_suffix(f".{os.getpid()}.part")
    part.write_text(text, encoding="utf-8")
    part.chmod(0o600)
    part.replace(file)


def kept_script(cache: Path, bundle: Callable[[str], str]) -> str:
    """The text of the drawing script, from its folder or put together by ``bundle``."""
    file = cache / "drawing" / f"{script_version()}.js"
    with suppress(OSError, UnicodeDecodeError):
        text = file.read_text(encoding="utf-8")
        if text.endswith(WHOLE):
            return text
    text = bundle(own_part()) + WHOLE
    with suppress(OSError):
        _put(file, text)
    return text
