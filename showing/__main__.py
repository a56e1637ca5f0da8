"""Screenshots of every page of the demo: ``python -m showing``, into ``out/screenshots``.

Widths, looks and names of pages may be told, to take only those: ``python -m showing 360 new``.

The club is served as `watervane club` serves it. From the rounds every link is followed, once for
pages that look alike; each page is taken at three widths by day and by night, and as it is printed.
What a page complains of in the console is told, and ends the command with an error.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

WIDTHS = (360, 768, 1440)
LOOKS = ("light", "dark")
OUT = Path("out/screenshots")
NAMED = os.environ.get("WATERVANE_CHROMIUM", "chromium")
ALIKE = re.compile(r"[0-9a-f]{32}|\d+")
NEVER = ("/photo", "/enter", "/static/", "/pair")
SETTLE_MS = 400


@contextmanager
def served(folder: Path, *command: str) -> Iterator[str]:
    """One of our commands that serves; the address it tells."""
    place = {**os.environ, "WATERVANE_JOURNAL": str(folder / "journal.sqlite"), "TZ": "UTC"}
    words = (sys.executable, "-m", "watervane", *command, "--no-browser", "--no-work")
    with subprocess.Popen(  # noqa: S603 - our own program
        words, env=place, stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            if process.stdout is None:
                raise RuntimeError("nothing is told")
            told = (re.search(r"http://\S+", line) for line in process.stdout)
            yield next(found[0] for found in told if found)
        finally:
            process.terminate()
            process.wait(30)


class Album:
    """What was taken, and what pages complained of."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self.taken = 0
        self.complaints: list[str] = []

    def listen(self, context: BrowserContext) -> Page:
        """A window whose console is written down."""
        page = context.new_page()
        page.on(
            "console",
            lambda told: (
                self.complaints.append(f"{page.url} {told.type}: {told.text}")
                if told.type in ("error", "warning") and "status of 4" not in told.text
                else None
            ),
        )
        page.on("pageerror", lambda error: self.complaints.append(f"{page.url} {error}"))
        return page

    def take(self, page: Page, name: str) -> None:
        """The whole page, however long, with all that is only drawn when it is scrolled to."""
        page.wait_for_load_state("load")
        for lazy in page.locator("img[loading=lazy]").all():
            lazy.scroll_into_view_if_needed()
            lazy.evaluate("each => each.complete || new Promise(done => each.onload = done)")
        page.evaluate("scrollTo(0, 0)")
        page.wait_for_timeout(SETTLE_MS)
        page.screenshot(path=self._folder / f"{name}.png", full_page=True)
        self.taken += 1


def pages_of(page: Page, address: str) -> dict[str, str]:
    """Every page that links lead to, one of each kind, by a name for its file."""
    waiting, found, seen = [address + "/"], dict[str, str](), set[str]()
    while waiting:
        url = waiting.pop(0)
        path = url.removeprefix(address)
        tank = re.fullmatch(r"/tank/[0-9a-f]{32}", path)
        kind = path if tank else ALIKE.sub("x", path.partition("?")[0])
        if kind in seen:
            continue
        seen.add(kind)
        page.goto(url)
        title = page.title().partition(" \N{MIDDLE DOT}")[0] if tank else ""
        found.setdefault(_name(kind, title), url)
        links = page.eval_on_selector_all("a[href]", "links => links.map(each => each.href)")
        for link in links:
            bare = str(link).partition("#")[0]
            if bare.startswith(address) and not any(each in bare for each in NEVER):
                waiting.append(bare)
    return found


def _name(kind: str, title: str) -> str:
    told = f"tank {title}" if title else kind.strip("/").replace("tank/x", "tank") or "rounds"
    return re.sub(r"[^a-z0-9]+", "-", told.lower()).strip("-")


def wrong_forms(page: Page, address: str) -> Iterator[str]:
    """Pages as they come back when what was typed cannot be understood."""
    page.goto(f"{address}/new")
    page.fill("#size", "as large as a bucket")
    page.locator("main form button.main").first.click()
    yield "wrong-new"
    page.goto(f"{address}/no-such-page")
    yield "wrong-address"


def shoot(
    browser: Browser, launch: str, album: Album, names: dict[str, str], wanted: frozenset[str]
) -> None:
    """Every page at every width, by day, by night and on paper; or those that are wanted."""
    address = launch.partition("/enter")[0]
    known = {*map(str, WIDTHS), *LOOKS}
    parts = wanted - known
    names = {name: url for name, url in names.items() if not parts or any(p in name for p in parts)}
    for width in [
        each for each in WIDTHS if not wanted & set(map(str, WIDTHS)) or str(each) in wanted
    ]:
        for look in [each for each in LOOKS if not wanted & set(LOOKS) or each in wanted]:
            context = browser.new_context(
                viewport={"width": width, "height": 900},
                color_scheme="dark" if look == "dark" else "light",
            )
            page = album.listen(context)
            page.goto(launch)
            for name, url in names.items():
                page.goto(url)
                album.take(page, f"{name}-{width}-{look}")
                if width == WIDTHS[-1] and look == LOOKS[0]:
                    page.emulate_media(media="print")
                    album.take(page, f"{name}-print")
                    page.emulate_media(media="screen")
            for name in () if parts else wrong_forms(page, address):
                album.take(page, f"{name}-{width}-{look}")
            context.close()


def main(wanted: frozenset[str] = frozenset()) -> None:
    """Serve, follow, take."""
    program = shutil.which(NAMED)
    if program is None:
        raise SystemExit(f"No browser called {NAMED}; name one: WATERVANE_CHROMIUM=/path/to/it")
    if not wanted:
        shutil.rmtree(OUT, ignore_errors=True)
    OUT.mkdir(parents=True, exist_ok=True)
    album = Album(OUT)
    with (
        tempfile.TemporaryDirectory() as folder,
        sync_playwright() as driver,
        served(Path(folder), "club", "--serve") as club,
        served(Path(folder), "serve", "--port", "0") as empty,
    ):
        browser = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_context().new_page()
        page.goto(club)
        names = pages_of(page, club.partition("/enter")[0])
        shoot(browser, club, album, names, wanted)
        first = empty.partition("/enter")[0]
        shoot(
            browser,
            empty,
            album,
            {"first-run": f"{first}/", "first-run-record": f"{first}/record"},
            wanted,
        )
        browser.close()
    print(f"{album.taken} pictures of {len(names)} pages in {OUT}")
    for each in album.complaints:
        print(each)
    if album.complaints:
        raise SystemExit(1)


if __name__ == "__main__":
    main(frozenset(sys.argv[1:]))
