"""Open a page in a real browser and keep all it says and asks for."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page

BROWSER = os.environ.get("WATERVANE_CHROMIUM", "/usr/bin/chromium")
REMEDY = (
    "On Debian and Ubuntu: apt-get install chromium; elsewhere install Chromium or Chrome and "
    "name its program: WATERVANE_CHROMIUM=/path/to/it"
)
NARROW, WIDE = 360, 1440
Scheme = Literal["light", "dark"]


@dataclass
class Opened:
    """A page, and everything it complained of or asked for."""

    page: Page
    complaints: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)


def browser_program(told: str = BROWSER) -> str:
    """The browser's program; without one the pages are unchecked, and that is a failure."""
    found = shutil.which(told)
    if found is None:
        pytest.fail(f"No browser at {told}. {REMEDY}", pytrace=False)
    return found


def listened_to(page: Page) -> Opened:
    """A page whose console and network are written down from now on."""
    told = Opened(page)
    page.on("console", lambda message: told.complaints.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: told.complaints.append(f"error: {error}"))
    page.on("request", lambda request: told.requests.append(request.url))
    return told


def opened_page(chromium: Browser, path: Path, width: int, scheme: Scheme) -> Opened:
    """The page of a file, drawn and at rest, on a machine without a network."""
    context = chromium.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme, offline=True
    )
    told = listened_to(context.new_page())
    told.page.goto(path.as_uri())
    told.page.locator("#chart svg .mark-area path").first.wait_for()
    told.page.wait_for_load_state("networkidle")
    return told
