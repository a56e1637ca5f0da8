"""Measure the pages that plan a tank and choose its animals: ``python -m benchmarks.planned``.

From a changed number to the new plan on the page, in a browser, in milliseconds: the numbers of the
form in turn, with the water mixed as well, and with six wishes to choose from; and what of it the
server takes.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page, sync_playwright
from starlette.testclient import TestClient

from watervane.bootstrap import real_ports
from watervane.web import Gate, make_app

PORT, AIM_MS = 8460, 300.0
ASKED = (
    "/blueprint?name=Study&shape=rectangular&length=60&width=30&height=36&measured=outside&glass=6"
    "&bed=gravel&bed-front=3&bed-back=6&floor=timber&lies=across&span=4&tariff=0.30&stand=20"
    "&coldest=17&warmest=28&water=25&species-1=Danio+rerio&count-1=10&kh=11&gh=15&nitrate=30"
)
MIXED = f"{ASKED}&want-gh=4..8&want-kh=2..4&membrane=yes"
WISHED = (
    "/blueprint/choose?length=60&width=40&height=50&glass=8&coldest=17&warmest=27&kh=6&gh=10"
    "&nitrate=15&plants=few&species-1=guppy&count-1=10&species-2=Corydoras+aeneus"
    "&species-3=cherry+shrimp&species-4=Ancistrus&species-5=harlequin+rasbora&species-6=neon+tetra"
)
PAGES = {"tank and tap": ASKED, "tank, tap and mixture": MIXED, "six wishes": WISHED}
# A field, and numbers it is changed to in turn.
MOVED = {
    "length": ("80", "100", "120"),
    "width": ("35", "40"),
    "height": ("40", "45"),
    "glass": ("8", "10"),
    "bed-back": ("5", "8"),
    "span": ("3", "5"),
    "stand": ("30",),
    "coldest": ("15",),
    "warmest": ("30",),
    "water": ("24", "26"),
    "tariff": ("0.40",),
    "count-1": ("12", "20"),
    "kh": ("9", "13"),
    "gh": ("12", "17"),
}
CHANGE = """([name, value]) => new Promise(told => {
  const place = document.querySelector('[data-told="plan"]');
  const begun = performance.now();
  const seen = new MutationObserver(() => {
    seen.disconnect();
    requestAnimationFrame(() => told(performance.now() - begun));
  });
  seen.observe(place, {childList: true});
  const field = document.getElementById(name);
  field.value = value;
  field.dispatchEvent(new Event("input", {bubbles: true}));
})"""


@dataclass(frozen=True)
class AnsweredPage:
    """What one page took while its numbers were changed in turn.

    Parameters
    ----------
    name
        Of what is asked.
    first_ms
        Of the first change after the page was opened. [ms]
    middle_ms, worst_ms
        Of all changes. [ms]
    within
        How many of them were answered within the aim.
    count
        Of how many.
    load
        Processes that wanted a core in the minute before.
    """

    name: str
    first_ms: float
    middle_ms: float
    worst_ms: float
    within: int
    count: int
    load: float


@dataclass(frozen=True)
class PlannedCost:
    """Plans in a browser, and what of them the server takes of the processor.

    Parameters
    ----------
    pages
        In a browser, the first of a server first.
    server
        By what is asked: wall clock and processor in the middle. [ms]
    """

    pages: tuple[AnsweredPage, ...]
    server: Mapping[str, tuple[float, float]]


def main() -> None:
    """Measure and print the section."""
    print(section(planned_cost()))


def planned_cost() -> PlannedCost:
    """Serve, change, and measure."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["WATERVANE_JOURNAL"] = str(Path(folder) / "journal.sqlite")
        with _served() as page:
            pages = tuple(
                _told(name, list(_changed(page, address))) for name, address in PAGES.items()
            )
        return PlannedCost(pages, _in_server())


def section(found: PlannedCost) -> str:
    """The page's section."""
    rows = "\n".join(
        f"| {each.name} | {each.first_ms:.0f} | {each.middle_ms:.0f} | {each.worst_ms:.0f} | "
        f"{each.within} of {each.count} | {found.server[each.name][0]:.0f} | "
        f"{found.server[each.name][1]:.0f} | {each.load:.1f} |"
        for each in found.pages
    )
    return f"""\
## Plans while they are typed

From the event of a changed number to the frame that shows the new plan, in a browser, the numbers
of the form in turn; the first of a server that was just started comes a sixth of a second after its
page. Beside it what an answer takes in the server alone, on the clock and of the processor. The aim
is {AIM_MS:.0f} ms.

| asked | first, ms | middle | worst | within the aim | server | processor | load |
|---|---|---|---|---|---|---|---|
{rows}
"""


def _in_server() -> dict[str, tuple[float, float]]:
    """Time and processor of the server alone, the first answer apart."""
    gate = Gate(PORT)
    pages = TestClient(make_app(real_ports(), gate), gate.address.rstrip("/"))
    pages.get(gate.launch_address)
    found = {}
    for name, address in PAGES.items():
        took, own = [], []
        for size in range(20):
            begun, used = time.perf_counter(), time.process_time()
            answer = pages.get(address.replace("length=60", f"length={60 + size}"))
            took.append((time.perf_counter() - begun) * 1e3)
            own.append((time.process_time() - used) * 1e3)
            if not answer.is_success:
                raise RuntimeError(f"{name}: {answer.status_code}")
        found[name] = statistics.median(took[1:]), statistics.median(own[1:])
    return found


class _served:  # noqa: N801 - reads as a word in `with`
    """A server of its own, and a page of a browser that was let in."""

    def __enter__(self) -> Page:
        command = [sys.executable, "-m", "watervane", "serve", "--port", "0", "--no-browser"]
        self._process = subprocess.Popen(  # noqa: S603 - our own program
            [*command, "--no-work"], stdout=subprocess.PIPE, text=True
        )
        line = self._process.stdout.readline() if self._process.stdout else ""
        self._launch = next(word for word in line.split() if word.startswith("http"))
        self._driver = sync_playwright().start()
        program = os.environ.get("WATERVANE_CHROMIUM", "/usr/bin/chromium")
        browser = self._driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(self._launch)
        return page

    def __exit__(self, *_told: object) -> None:
        self._driver.stop()
        self._process.terminate()
        self._process.wait()


def _changed(page: Page, address: str) -> Iterator[float]:
    """Milliseconds from a number's event to the frame that shows the new plan."""
    page.goto("/".join(page.url.split("/")[:3]) + address)
    for name, values in MOVED.items():
        if not page.locator(f"#{name}").count():
            continue  # this page does not ask it
        for value in values:
            page.wait_for_timeout(150)
            yield float(page.evaluate(CHANGE, [name, value]))


def _told(name: str, took: Sequence[float]) -> AnsweredPage:
    within = sum(each <= AIM_MS for each in took)
    middle, load = statistics.median(took), os.getloadavg()[0]
    return AnsweredPage(name, took[0], middle, max(took), within, len(took), load)


if __name__ == "__main__":
    main()
