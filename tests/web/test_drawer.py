"""Drawing in a process of its own: it is warm, it comes back when it died, it holds nobody up."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from watervane.charts.living import coloured
from watervane.charts.theme import DARK, LIGHT
from watervane.web.drawer import SMALL, CannotDraw, Drawer
from watervane.web.drawings import MOST_ON_DISK, kept_drawing, kept_script


@pytest.fixture(scope="module")
def drawer() -> Iterator[Drawer]:
    made = Drawer()
    yield made
    made.stop()


def test_it_draws_what_it_is_told(drawer: Drawer) -> None:
    drawn = drawer.draw(SMALL)
    assert drawn.startswith("<svg")
    assert "mark-line" in drawn


def test_what_cannot_be_drawn_is_refused_and_the_next_is_drawn(drawer: Drawer) -> None:
    with pytest.raises(CannotDraw):
        drawer.draw({**SMALL, "mark": "no such mark"})
    assert "mark-line" in drawer.draw(SMALL)


def test_one_that_died_is_started_again(drawer: Drawer) -> None:
    drawer.draw(SMALL)
    before = drawer.process
    assert before is not None
    os.kill(before, signal.SIGTERM)
    assert "mark-line" in drawer.draw(SMALL)
    assert drawer.process not in (None, before)


def test_others_go_on_meanwhile(drawer: Drawer) -> None:
    """In the own process the library would hold the interpreter for the whole of a drawing."""
    gaps: list[float] = []
    done = threading.Event()

    def tick() -> None:
        last = time.perf_counter()
        while not done.is_set():
            time.sleep(0.005)
            now = time.perf_counter()
            gaps.append(now - last)
            last = now

    clock = threading.Thread(target=tick)
    clock.start()
    begun = time.perf_counter()
    for _ in range(6):
        drawer.draw({**SMALL, "data": {"values": [{"t": f"20{n:02}", "v": n} for n in range(90)]}})
    took = time.perf_counter() - begun
    done.set()
    clock.join()
    assert len(gaps) > took / 0.1  # it ticked all along


def test_it_ends_when_it_is_told_so() -> None:
    own = Drawer()
    own.draw(SMALL)
    number = own.process
    assert number is not None
    own.stop()
    assert own.process is None
    with pytest.raises(ProcessLookupError):
        os.kill(number, 0)


def test_the_script_is_put_together_once_and_read_at_the_next_start(tmp_path: Path) -> None:
    asked: list[str] = []

    def bundle(own_part: str) -> str:
        asked.append(own_part)
        return f"/* library */ {own_part}"

    first = kept_script(tmp_path, bundle)
    assert "vegaEmbed" in first
    assert kept_script(tmp_path, bundle) == first
    assert len(asked) == 1
    (kept,) = (tmp_path / "drawing").iterdir()
    kept.write_text(first[:100], encoding="utf-8")  # cut short
    assert kept_script(tmp_path, bundle) == first
    assert len(asked) == 2
    assert kept_script(kept / "below", bundle) == first  # where no folder can be made


def test_a_still_drawing_is_kept_by_all_it_is_drawn_from(tmp_path: Path) -> None:
    drawn: list[object] = []

    def draw(spec: object) -> str:
        drawn.append(spec)
        return f"<svg>{len(drawn)}</svg>"

    first = kept_drawing(tmp_path, {"data": [1, 2]}, draw)
    assert kept_drawing(tmp_path, {"data": [1, 2]}, draw) == first
    assert kept_drawing(tmp_path, {"data": [1, 3]}, draw) != first
    assert len(drawn) == 2
    for kept in (tmp_path / "drawing").iterdir():
        assert kept.stat().st_mode & 0o077 == 0  # it tells of somebody's tank
        kept.write_text("<svg>cut sho", encoding="utf-8")
    assert kept_drawing(tmp_path, {"data": [1, 2]}, draw).endswith("</svg>")
    assert len(drawn) == 3
    for number in range(MOST_ON_DISK):
        kept_drawing(tmp_path, {"data": number}, draw)
    assert len(list((tmp_path / "drawing").iterdir())) == MOST_ON_DISK


def test_a_drawing_gets_the_colours_of_each_look() -> None:
    named = '<svg fill="var(--paper)" stroke="var(--accent)"></svg>'
    assert coloured(named, "light") == f'<svg fill="{LIGHT.paper}" stroke="{LIGHT.accent}"></svg>'
    assert coloured(named, "dark") == f'<svg fill="{DARK.paper}" stroke="{DARK.accent}"></svg>'
