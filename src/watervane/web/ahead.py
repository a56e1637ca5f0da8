"""Drawings made before they are asked for: who looks at the rounds will open one of its tanks."""

from __future__ import annotations

import logging
import queue
import threading
from collections.abc import Callable, Sequence
from contextvars import Context, copy_context

from watervane.app import Ports
from watervane.app.at_once import at_once
from watervane.app.rounds import Round
from watervane.app.tank_page import look_at_tank, picture_of_tank
from watervane.records import Person
from watervane.web.answers import answers_of, mark_of
from watervane.web.drawings import Drawings
from watervane.wording.in_units import current_units

MOST = 20  # tanks of one look at the rounds, the most urgent first
Seen = tuple[str, str]
log = logging.getLogger("watervane.web")


class Ahead:
    """One thread that draws what is likely to be opened next, one tank after the other."""

    def __init__(
        self, actor: Person, ports: Ports, drawings: Drawings, warm: Callable[[], None]
    ) -> None:
        self._warm = warm
        self._actor = actor
        self._ports = ports
        self._drawings = drawings
        self._waiting: queue.Queue[tuple[str, Context]] = queue.Queue()
        self._drawn: dict[Seen, str] = {}
        self._thread: threading.Thread | None = None
        self._one = threading.Lock()

    def draw(self, rounds: Sequence[Round]) -> None:
        """The tanks of the rounds whose drawings may have changed, in the units of who asks."""
        units = current_units().text()
        for each in rounds[:MOST]:
            if each.foreseen is None:
                continue
            told = f"{each.foreseen.made_at} {each.foreseen.written_since}"
            self._ask(each.tank.key, units, told)

    def draw_one(self, key: str, mark: str) -> None:
        """A tank whose page was opened before its drawing was there, as ``mark`` tells it."""
        self._ask(key, current_units().text(), mark)

    def _ask(self, key: str, units: str, told: str) -> None:
        if self._drawn.get((key, units)) != told:
            self._drawn[key, units] = told
            self._waiting.put((key, copy_context()))
        with self._one:
            if self._thread is None and not self._waiting.empty():
                self._thread = threading.Thread(target=self._run, daemon=True)
                self._thread.start()

    def _run(self) -> None:
        self._warm()
        while True:
            key, context = self._waiting.get()
            try:
                context.run(self._tank, key)
            except Exception:  # a page that needs it draws it again, and tells what is wrong
                log.warning("not drawn ahead", exc_info=True)

    def _tank(self, key: str) -> None:
        looked = look_at_tank(self._actor, key, self._ports)
        picture = picture_of_tank(looked, current_units().nitrogen)
        if picture is not None:
            mark = f"{key} {mark_of(looked)}"
            self._drawings.ahead(picture, mark)
            self._drawings.living(picture, mark, current_units().nitrogen)
        # What else the page says, so that nothing of it is done for the first time.
        answers_of(looked, (), (), (), at_once(self._actor, looked, self._ports), self._ports)
