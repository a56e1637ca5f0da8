"""The demo club from the files of the package: open it, tell of it, serve it."""

from __future__ import annotations

import gzip
import json
import os
import sys
from datetime import date
from importlib import resources

from watervane.app import Ports
from watervane.app.club import Club, ClubTank, club_journal, found_club
from watervane.app.going_rounds import go_rounds
from watervane.app.page_ports import ServeRequest
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.cli.rounds_printed import print_rounds
from watervane.records import Person
from watervane.wording import phrase

FOLDER = "demo_data/club"
RESULTS = "results.json.gz"
DAY = date(2026, 3, 29)  # on whose evening the files end
# Founded in this order; a worker brings the last one up to date first.
FILES = ("old-forty", "fern-shelf", "tea-corner", "bay-window", "stair-landing", "hall-bench")


def shipped_club() -> Club:
    """The club as the package holds it."""
    folder = resources.files("watervane.cli").joinpath(FOLDER)
    results: dict[str, dict[str, str]] = {}
    packed = folder.joinpath(RESULTS)
    if packed.is_file():
        results = json.loads(gzip.decompress(packed.read_bytes()))
    files = (folder.joinpath(f"{name}.tank.toml").read_text(encoding="utf-8") for name in FILES)
    tanks = [ClubTank(text, results.get(name, {})) for name, text in zip(FILES, files, strict=True)]
    return Club(DAY, tanks)


def attended() -> bool:
    """Whether somebody sits at a terminal; a machine that checks programs says that none does."""
    return sys.stdout.isatty() and os.environ.get("CI", "").lower() not in ("1", "true", "yes")


def has_display() -> bool:
    """Whether a window can open; else a browser would take the terminal, or nothing happen."""
    windowed = ("DISPLAY", "WAYLAND_DISPLAY")
    return sys.platform in ("win32", "darwin") or any(map(os.environ.get, windowed))


def run_club(request: ServeRequest, *, once: bool, ports: Ports) -> int:
    """Open the club; print its rounds, and serve its pages unless that was all."""
    with club_journal(ports):
        found_club(Person(), shipped_club(), ports)
        printer = Printer()
        printer.sentence(phrase("club-opening", count=len(FILES)))
        printer.sentence("")
        print_rounds(printer, go_rounds(Person(), ports), ports)
        printer.sentence("")
        if once:
            printer.sentence(phrase("club-once"))
            return FINE

        def told(address: str) -> None:
            print(phrase("serve-ready", address=address))
            work = "club-work" if request.work else "serve-no-work"
            for key in ("club-look", work, "club-gone", "serve-stop"):
                print(phrase(key))
            sys.stdout.flush()

        ports.pages.serve(request, told)
    return FINE
