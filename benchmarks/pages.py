"""Measure the pages of a tank with ten years of journal: ``python -m benchmarks.pages``.

Server time of each page in milliseconds, alone and while a forecast is computed in another process
that steps back as a worker does; what a first and a later visit weigh as they are sent; with a
browser, how long the first drawing of a tank takes, and a rehearsal from the moved slider to the
new curve.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from importlib import resources
from pathlib import Path

from playwright.sync_api import sync_playwright
from starlette.testclient import TestClient

from benchmarks.journal import BEGUN, DAYS, ME, _tank
from watervane.app import Line, Ports, Request, add_tank, foretell, record
from watervane.app.kept_forecasts import course_ahead
from watervane.bootstrap import real_ports
from watervane.bootstrap_journal import held_open
from watervane.records import KeptForecast
from watervane.web import Gate, make_app

PORT, TIMES = 8460, 40
AIM_MS = 150  # of the server, a forecast beside
READING_MS = 1500  # that somebody looks at the rounds before a tank is opened
SLIDE = """food => new Promise(told => {
  const begun = performance.now();
  const seen = new MutationObserver(() => { seen.disconnect(); told(performance.now() - begun); });
  seen.observe(document.querySelector(".living svg"), {subtree: true, attributes: true});
  const slider = document.querySelector("input[type=range]");
  slider.value = food;
  slider.dispatchEvent(new Event("input", {bubbles: true}));
})"""
FIRST_CHART = """() => {
  // A drawing that is part of the page is painted with the first frame it stands in: the first of
  // all, whose moment the browser tells, or the one after which this is called again.
  const first = () => performance.getEntriesByName("first-contentful-paint")[0]?.startTime;
  const told = (at) => {
    if (first() === undefined) requestAnimationFrame(() => told(at));
    else window.firstChart = at && first() >= at ? first() : performance.now();
  };
  const looked = () => {
    const parts = [...document.querySelectorAll("figure.chart .still svg")];
    const still = document.querySelector("figure.chart img");
    const drawn = document.querySelector(".living svg .mark-area path");
    if (parts.some((each) => each.querySelector(".mark-area path") && each.checkVisibility())) {
      const at = performance.now();
      requestAnimationFrame(() => told(at));
    } else if (first() && (drawn || (still?.complete && still.naturalWidth)))
      requestAnimationFrame(() => told(0));
    else requestAnimationFrame(looked);
  };
  looked();
}"""
STARTS = 3
WARMING_MS = 5000  # the small program is loaded beside the first answer
DEMO = resources.files("watervane.cli").joinpath("demo_data", "reading-room.tank.toml")


def main() -> None:
    """Write, serve, measure, print."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["WATERVANE_JOURNAL"] = str(Path(folder) / "journal.sqlite")
        ports, gate = real_ports(), Gate(PORT)
        key = _written(ports)
        app = make_app(ports, gate, draw_ahead=True)
        pages = TestClient(app, gate.address.rstrip("/"))
        pages.get(gate.launch_address)
        tank = f"/tank/{key}"
        paths = ("/", tank, f"{tank}/record", f"{tank}/record/readings", f"{tank}/forecast.json")
        while 'class="still-wide"' not in pages.get(tank).text:
            time.sleep(0.1)
        with held_open():
            for path in paths:
                _timed(f"{path.replace(key, 'KEY')}, alone", pages, path)
            with _busy():
                found = [
                    _timed(f"{path.replace(key, 'KEY')}, a forecast beside", pages, path)
                    for path in paths
                ]
        met = "met" if max(found) < AIM_MS else "not met"
        print(f"{'worst page, a forecast beside':<50}p95 {max(found):.0f} ms: aim {AIM_MS}, {met}")
        _weighed(pages, key)
        _first_charts(key, Path(folder))
        _rehearsed(ports)


def _written(ports: Ports) -> str:
    with resources.as_file(DEMO) as file:
        made = foretell(ME, file, Request(members=60), ports).forecast
    document = course_ahead(ports.forecast_document(made), made)
    kept = KeptForecast(
        as_of=BEGUN + timedelta(days=DAYS),
        horizon_days=made.horizon_days,
        newest_entry=0,
        seed=1,
        members=60,
        model_version=made.diagnostics.model_version,
        parameter_digest=made.diagnostics.parameter_digest,
        document=json.dumps(document, allow_nan=False),
    )
    with ports.journal.open() as journal, journal.writing(ME, what="add tank") as work:
        key = work.add_tank(_tank()).tank
    with ports.journal.open() as journal, journal.writing(ME, what="forecast") as work:
        work.keep_forecast(key, kept)
    return key


@contextmanager
def _busy() -> Iterator[None]:
    """A forecast after the other, stepping back for pages as a worker does."""
    with resources.as_file(DEMO) as file:
        code = (
            "from pathlib import Path\nfrom watervane.app import *\n"
            "from watervane.bootstrap import real_ports\nfrom watervane.records import Person\n"
            "real_ports().jobs.step_back()\n"
            f"while True: foretell(Person(), Path({str(file)!r}), Request(threads=1), real_ports())"
        )
        process = subprocess.Popen([sys.executable, "-c", code])  # noqa: S603 - our own program
        try:
            time.sleep(5.0)
            yield
        finally:
            process.kill()
            process.wait()


def _timed(name: str, pages: TestClient, path: str) -> float:
    """What 19 of 20 answers take at most [ms]."""
    took, own = [], []
    for _ in range(TIMES):
        begun, used = time.perf_counter(), time.process_time()
        answer = pages.get(path)
        took.append((time.perf_counter() - begun) * 1e3)
        own.append((time.process_time() - used) * 1e3)
        if not answer.is_success:
            raise RuntimeError(f"{path}: {answer.status_code}")
    worst = statistics.quantiles(took, n=20)[-1]
    of_these = f"p95 {worst:.0f} ms of {TIMES}"
    computed = f"{statistics.median(own):.0f} ms of the processor"
    load = f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    print(f"{name:<50}{statistics.median(took):8.1f} ms, {of_these}; {computed}; {load}")
    return worst


def _first_charts(key: str, folder: Path) -> None:
    """From the way to a tank's page to its first drawing, in a browser that kept nothing."""
    usual = os.environ.get("WATERVANE_CACHE")
    os.environ["WATERVANE_CACHE"] = str(folder / "cache")
    first_ever = _first_chart(key)
    later = sorted(_first_chart(key) for _ in range(STARTS))
    del os.environ["WATERVANE_CACHE"]  # nothing compiled is there: what follows is to be warm
    if usual is not None:
        os.environ["WATERVANE_CACHE"] = usual
    load = f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    told = f"{first_ever[0]:.0f} ms after the first start ever"
    again = statistics.median(each[1] for each in later)
    print(f"{'first chart after a start':<50}{later[STARTS // 2][0]:8.1f} ms, {told}; {load}")
    print(f"{'first chart of another visit':<50}{again:8.1f} ms")


def _first_chart(key: str) -> tuple[float, float]:
    """Milliseconds to the first drawing on the first page after a start, and once more."""
    program = os.environ.get("WATERVANE_CHROMIUM", "/usr/bin/chromium")
    with _serving() as launch, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        found = []
        for _ in range(2):
            page = browser.new_context().new_page()
            page.goto(launch)
            page.wait_for_timeout(READING_MS)
            page.add_init_script(f"({FIRST_CHART})()")
            page.goto(f"{launch.partition('/enter')[0]}/tank/{key}")
            while (at := page.evaluate("window.firstChart")) is None:
                page.wait_for_timeout(20)
            found.append(float(at))
            page.context.close()
        browser.close()
    return found[0], found[1]


@contextmanager
def _serving() -> Iterator[str]:
    """The pages in a process of their own; the address they are opened with."""
    command = [sys.executable, "-m", "watervane", "serve", "--port", "0", "--no-browser"]
    # The place of the journal's worker is taken: nothing is computed, but all else as usual.
    with (
        real_ports().jobs.alone(),
        subprocess.Popen(  # noqa: S603 - our own program
            command, stdout=subprocess.PIPE, text=True
        ) as process,
    ):
        try:
            line = process.stdout.readline() if process.stdout else ""
            yield next(word for word in line.split() if word.startswith("http"))
        finally:
            process.terminate()


def _rehearsed(ports: Ports) -> None:
    """From a moved slider to the new curve in a browser, the tank warm, 1,000 members."""
    begun = ports.journal.now() - timedelta(days=20)
    words = (f"filled={begun.date()}", "volume=57 L", "heater.set_point=25 degC")
    key = add_tank(ME, ports, name="Slid", words=words).receipt.tank
    entries: tuple[tuple[str, tuple[str, ...]], ...] = (
        ("animals-in", ("6", "Danio rerio", "length=4 cm")),
        ("feed", ("mass=0.1 g", "every=1 d")),
    )
    for kind, line_words in entries:
        record(ME, "Slid", Line(kind, line_words, begun + timedelta(days=1)), ports)
    with _serving() as launch:
        took = sorted(_slid(launch, key))
    middle, worst = statistics.median(took), took[-1]
    load = os.getloadavg()[0]
    told = f"worst {worst:.0f} ms of {len(took)}; load {load:.1f} on {os.cpu_count()} cores"
    print(f"{'slider to new curve, warm':<50}{middle:8.1f} ms, {told}")


def _slid(launch: str, key: str) -> Iterator[float]:
    """Milliseconds from the slider's event to the first changed mark of the drawing."""
    program = os.environ.get("WATERVANE_CHROMIUM", "/usr/bin/chromium")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(launch)
        page.goto(f"{launch.partition('/enter')[0]}/tank/{key}/rehearsal")
        page.locator(".living svg .mark-area path").first.wait_for(timeout=300_000)
        page.wait_for_timeout(WARMING_MS)
        for food in (150, 40, 200, 0, 60, 170, 120, 80, 250, 10):
            page.wait_for_timeout(500)
            yield float(page.evaluate(SLIDE, food))
        browser.close()


def _weighed(pages: TestClient, key: str) -> None:
    """What is sent for the page of a tank: first all of it, later the page and its drawing."""
    page = f"/tank/{key}"
    text = pages.get(page).text
    parts = [page, f"{page}/forecast.json"]  # the still drawing is in the page
    told = [part for mark in ('href="', 'src="', 'data-draws="') for part in text.split(mark)[1:]]
    kept = [part.partition('"')[0] for part in told]
    kept = [each for each in kept if each.startswith(("/static/", "/drawing/"))]
    fonts = pages.get(kept[1]).text.split('url("')[1:]
    kept += [each.partition('"')[0] for each in fonts]
    first = {each: _bytes(pages, each) for each in dict.fromkeys([*parts, *kept])}
    print(f"{'first visit, compressed':<50}{sum(first.values()) / 1e3:8.1f} kB")
    print(f"{'later visit, compressed':<50}{sum(first[each] for each in parts) / 1e3:8.1f} kB")


def _bytes(pages: TestClient, path: str) -> int:
    with pages.stream("GET", path) as answer:
        return sum(len(chunk) for chunk in answer.iter_raw())


if __name__ == "__main__":
    main()
