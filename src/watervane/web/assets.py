"""Style sheets, scripts and fonts: read once, named by their content, kept by browsers for good."""

from __future__ import annotations

import gzip
import hashlib
import mimetypes
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

KEPT_FOR_GOOD = "public, max-age=31536000, immutable"
KINDS = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
}
_URL = re.compile(r'url\("([^":]+)"\)')
_IMPORT = re.compile(r'from "\./([^"]+)"')
PACKED = (".woff2", ".png")  # smaller they do not get


@dataclass(frozen=True, slots=True)
class Asset:
    """One file as it is sent."""

    data: bytes
    packed: bytes | None
    media_type: str
    digest: str


@cache
def assets() -> dict[str, Asset]:
    """Every file of ``static`` by its name, ``fonts/serif.woff2``."""
    found = dict(_found(resources.files("watervane.web").joinpath("static"), ""))
    for name, asset in found.items():
        if name.endswith(".css"):
            found[name] = asset_of(name, _addressed(asset.data.decode(), found).encode())
        elif name.endswith(".js"):
            found[name] = asset_of(name, _leading(asset.data.decode(), found).encode())
    return found


def _addressed(sheet: str, found: dict[str, Asset]) -> str:
    """A style sheet with the addresses that its fonts are served under."""
    return _URL.sub(lambda told: f'url("/static/{found[told[1]].digest}/{told[1]}")', sheet)


def _leading(script: str, found: dict[str, Asset]) -> str:
    """A script with the addresses of those it imports, which import none themselves."""
    return _IMPORT.sub(lambda told: f'from "/static/{found[told[1]].digest}/{told[1]}"', script)


def _found(folder: Traversable, before: str) -> list[tuple[str, Asset]]:
    found: list[tuple[str, Asset]] = []
    for each in sorted(folder.iterdir(), key=lambda item: item.name):
        name = f"{before}{each.name}"
        if each.is_dir():
            found += _found(each, f"{name}/")
        else:
            found.append((name, asset_of(each.name, each.read_bytes())))
    return found


def asset_of(name: str, data: bytes) -> Asset:
    """The bytes of a file with all that is sent beside them."""
    ending = f".{name.rpartition('.')[2]}"
    kind = KINDS.get(ending) or mimetypes.guess_type(name)[0] or "application/octet-stream"
    packed = None if ending in PACKED else gzip.compress(data, 9, mtime=0)
    return Asset(data, packed, kind, hashlib.sha256(data).hexdigest()[:12])


def asset_path(name: str) -> str:
    """The address of a file; it changes when the file does."""
    return f"/static/{assets()[name].digest}/{name}"
