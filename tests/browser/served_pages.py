"""The pages as they are really served: a program of its own, a journal, and a browser let in."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from opened_pages import Opened, Scheme, listened_to
from playwright.sync_api import Browser

WAIT_S = 30


@dataclass(frozen=True)
class Served:
    """A running server, and the address its browser was opened with."""

    launch: str
    folder: Path
    shared: str = ""

    @property
    def address(self) -> str:
        """Of the first page."""
        return self.launch.partition("/enter")[0]

    def visit(self, chromium: Browser, width: int, scheme: Scheme, **more: object) -> Opened:
        """A browser window that came in by the front door; it is at the rounds."""
        context = chromium.new_context(
            viewport={"width": width, "height": 900}, color_scheme=scheme, **more
        )
        told = listened_to(context.new_page())
        told.page.goto(self.launch)
        return told


@contextmanager
def serving(folder: Path, *more: str) -> Iterator[Served]:
    """``watervane serve`` in a process of its own, without a worker."""
    command = (sys.executable, "-m", "watervane", "serve", "--port", "0", "--no-browser")
    place = {**os.environ, "WATERVANE_JOURNAL": str(folder / "journal.sqlite"), "TZ": "UTC"}
    with subprocess.Popen(
        (*command, "--no-work", *more), env=place, stdout=subprocess.PIPE, text=True, cwd=folder
    ) as process:
        try:
            assert process.stdout is not None
            lines = [process.stdout.readline() for _ in range(3 if more else 1)]
            told = re.findall(r"https?:\S+", "".join(lines))
            yield Served(told[0], folder, *told[1:])
        finally:
            process.terminate()
            process.wait(WAIT_S)
