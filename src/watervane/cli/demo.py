"""``watervane demo``: an invented tank on day 12, and how the view sharpened by day 24."""

from __future__ import annotations

from datetime import timedelta
from importlib import resources
from pathlib import Path

from watervane.app import Foretold, Ports, Request, check, foretell, picture_of
from watervane.cli.exit_codes import FINE
from watervane.cli.forecast import write_pictures
from watervane.cli.printing import Printer
from watervane.cli.progress import shown_progress
from watervane.records import Person
from watervane.wording import phrase
from watervane.wording.sharpened import sharpened

TANK = "demo_data/reading-room.tank.toml"
DAYS = (12, 24)
HORIZON_DAYS = 35
ENDINGS = (".svg", ".png", ".html")


def run_demo(out: Path, members: int, threads: int, ports: Ports) -> int:
    """Foretell twice, print both, write pictures, say what changed."""
    printer = Printer()
    printer.sentence(phrase("demo-opening", first=DAYS[0], second=DAYS[1]))
    with resources.as_file(resources.files("watervane.cli").joinpath(TANK)) as file:
        views = [_view(file, day, members, threads, ports, printer, out) for day in DAYS]
    printer.heading(phrase("demo-sharpened", first=DAYS[0], second=DAYS[1]))
    for paragraph in sharpened(views[0].forecast, views[1].forecast):
        printer.sentence(paragraph)
    printer.sentence("")
    printer.sentence(phrase("demo-pictures", folder=str(out.resolve())))
    for day in DAYS:
        printer.item(str(out / f"demo-day{day}.html"))
    return FINE


def _view(
    file: Path, day: int, members: int, threads: int, ports: Ports, printer: Printer, out: Path
) -> Foretold:
    filled = check(Person(), file, ports).tank.filled
    request = Request(
        as_of=filled + timedelta(days=day - 1),
        horizon_days=HORIZON_DAYS - (day - DAYS[0]),
        members=members,
        threads=threads,
    )
    with shown_progress(silent=False) as progress:
        foretold = foretell(Person(), file, request, ports, progress)
        picture = picture_of(foretold.forecast, foretold.tank, findings=foretold.findings)
        if progress:
            progress("draw", 0.95)
        write_pictures(picture, [out / f"demo-day{day}{ending}" for ending in ENDINGS], ports)
    printer.sentence("")
    printer.brief_forecast(picture)
    printer.sentence("")
    return foretold
