"""Draws in a process of its own: the drawing library would hold all pages up while it draws."""

from __future__ import annotations

import atexit
import json
import subprocess
import sys
import threading
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

COMMAND = (sys.executable, "-m", "watervane.charts.drawing_process")
TRIES = 2
WAIT_S = 5.0
# Something small, so that what is slow the first time has been done before a page asks.
SMALL = {
    "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
    "data": {"values": [{"t": "2026-01-01", "v": 1}]},
    "mark": "line",
    "encoding": {
        "x": {"field": "t", "type": "temporal"},
        "y": {"field": "v", "type": "quantitative"},
    },
}


class CannotDraw(Exception):
    """The process that draws refused or died twice."""


class Drawer:
    """One such process, started when something is first drawn; it draws one thing at a time."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[str] | None = None
        self._one = threading.Lock()
        atexit.register(self.stop)

    def draw(self, spec: Mapping[str, Any]) -> str:
        """A specification as SVG."""
        return self._made({"spec": spec})

    def bundle(self, own_part: str) -> str:
        """A script with the drawing library in it."""
        return self._made({"bundle": own_part})

    def warm_up(self) -> None:
        """Do what is slow the first time."""
        with suppress(CannotDraw):
            self.draw(SMALL)

    @property
    def process(self) -> int | None:
        """Its number, while it runs."""
        return None if self._process is None else self._process.pid

    def stop(self) -> None:
        """End the process, if it runs."""
        process, self._process = self._process, None
        if process is None:
            return
        with suppress(OSError):
            if process.stdin is not None:
                process.stdin.close()
        try:
            process.wait(WAIT_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        if process.stdout is not None:
            process.stdout.close()

    def _made(self, asked: Mapping[str, Any]) -> str:
        line = json.dumps(asked, allow_nan=False)
        with self._one:
            for _ in range(TRIES):
                answer = self._answer(line)
                if answer:
                    told = json.loads(answer)
                    if "made" in told:
                        return str(told["made"])
                    raise CannotDraw(told["wrong"])
                self.stop()
        raise CannotDraw("the process that draws has ended")

    def _answer(self, line: str) -> str:
        process = self._running()
        if process.stdin is None or process.stdout is None:
            return ""
        try:
            process.stdin.write(f"{line}\n")
            process.stdin.flush()
            return process.stdout.readline()
        except OSError:
            return ""

    def _running(self) -> subprocess.Popen[str]:
        if self._process is None:
            self._process = subprocess.Popen(  # noqa: S603 - our own program
                COMMAND,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
                encoding="utf-8",
            )
        return self._process


DRAWER = Drawer()
