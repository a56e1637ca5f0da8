"""Two journals always mean what a few plain dictionaries say they mean.

Whatever is recorded, corrected, undone, exported, imported, mirrored and merged, in any order.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule, run_state_machine_as_test

from watervane.app import Line, correct, open_tank, record, undo
from watervane.app.exchanging import export_tank, merge_journal
from watervane.app.importing import Asked, import_file
from watervane.app.keeping import add_tank, list_tanks
from watervane.app.mirroring import mirror
from watervane.bootstrap import real_ports
from watervane.records import Entry, Note, Person

ME = Person()
NAME = "Study"
BEGUN = datetime(2026, 3, 2, 9)
WHERE = "WATERVANE_JOURNAL"


@dataclass
class Model:
    """What a journal should mean: who said what, in whose place, and what was taken back."""

    texts: dict[str, str] = field(default_factory=dict)
    place_of: dict[str, str | None] = field(default_factory=dict)
    born: dict[str, int] = field(default_factory=dict)
    undone: set[str] = field(default_factory=set)
    writes: list[list[str]] = field(default_factory=list)

    def heirs(self, key: str) -> list[str]:
        """Living corrections of an entry, those of its undone corrections among them."""
        found = []
        for other, place in self.place_of.items():
            if place == key:
                found += self.heirs(other) if other in self.undone else [other]
        return found

    def standing_in(self, key: str) -> str | None:
        heirs = self.heirs(key)
        if heirs:
            return self.standing_in(max(heirs, key=self.born.__getitem__))
        return None if key in self.undone else key

    def standing(self) -> list[str]:
        first = [key for key, place in self.place_of.items() if place is None]
        return [found for key in first if (found := self.standing_in(key)) is not None]

    def meaning(self) -> list[str]:
        return sorted(self.texts[key] for key in self.standing())

    def held(self) -> Counter[str]:
        """Texts that stand or were corrected since by what stands."""
        kept: set[str] = set()
        for key in self.standing():
            place: str | None = key
            while place is not None:
                kept.add(place)
                place = self.place_of[place]
        return Counter(self.texts[key] for key in kept)

    def write(self, keys: dict[str, tuple[str, str | None]], born: int) -> None:
        for key, (text, place) in keys.items():
            self.texts[key], self.place_of[key], self.born[key] = text, place, born
        self.writes.append(list(keys))

    def undo_last(self) -> None:
        for write in reversed(self.writes):
            left = [key for key in write if key not in self.undone]
            if left:
                self.undone |= set(left)
                return

    def take(self, other: Model) -> None:
        """Everything of both; equal entries told to each count once."""
        mine, theirs = set(self.texts) - set(other.texts), set(other.texts) - set(self.texts)
        self.texts |= other.texts
        self.place_of |= other.place_of
        self.born |= other.born
        self.undone |= other.undone
        self.writes += [new for write in other.writes if (new := [k for k in write if k in theirs])]
        standing = sorted(self.standing(), key=self.born.__getitem__)
        for text in {self.texts[key] for key in standing}:
            pairs = zip(
                [key for key in standing if key in mine and self.texts[key] == text],
                [key for key in standing if key in theirs and self.texts[key] == text],
                strict=False,
            )
            self.undone |= {max(pair, key=self.born.__getitem__) for pair in pairs}


@cache
def begun() -> Path:
    """A journal with one tank, from which all others here are copied."""
    shutil.copy(empty(), folder := Path(tempfile.mkdtemp()))
    os.environ[WHERE] = str(folder / "journal.sqlite")
    add_tank(ME, real_ports(), name=NAME, words=("filled=2026-03-01", "volume=57 L"))
    return folder / "journal.sqlite"


@cache
def empty() -> Path:
    """A journal in which nothing was ever written."""
    folder = Path(tempfile.mkdtemp())
    os.environ[WHERE] = str(folder / "journal.sqlite")
    assert list_tanks(ME, real_ports()) == ()
    return folder / "journal.sqlite"


SIDES = st.sampled_from((0, 1))
PICKS = st.integers(0, 99)


class Keeping(RuleBasedStateMachine):
    """Two journals that began as one, and the models of both."""

    def __init__(self) -> None:
        super().__init__()
        self.before = os.environ.get(WHERE)
        self.ports = real_ports()
        start = begun()
        self.folder = Path(tempfile.mkdtemp())
        self.models = [Model(), Model()]
        for side in (0, 1):
            shutil.copy(start, self.file(side))
        self.count = 0

    def file(self, side: int) -> Path:
        return self.folder / f"journal-{side}.sqlite"

    def use(self, side: int) -> Model:
        os.environ[WHERE] = str(self.file(side))
        return self.models[side]

    def text(self) -> str:
        self.count += 1
        return f"text {self.count}."

    def entries(self) -> tuple[Entry, ...]:
        with self.ports.journal.open() as journal, journal.looking(ME) as view:
            return view.entries(view.key_of(NAME), all_of_them=True)

    def number(self, key: str) -> int:
        return next(entry.number for entry in self.entries() if entry.key == key)

    def learn(self, side: int) -> None:
        """Take the entries that a write of many came to into the model, as one write."""
        model = self.models[side]
        new = {
            entry.key: (entry.what.text, entry.corrects)
            for entry in self.entries()
            if isinstance(entry.what, Note) and entry.key not in model.texts
        }
        if new:
            self.count += 1
            model.write(new, self.count)

    def tell(self, side: int, text: str) -> None:
        model = self.use(side)
        at = BEGUN + timedelta(minutes=int(text.split()[1].rstrip(".")))
        (entry,) = record(ME, NAME, Line("note", (text,), at), self.ports).entries
        self.count += 1
        model.write({entry.key: (text, None)}, self.count)

    def check(self, side: int) -> None:
        model = self.use(side)
        events = open_tank(ME, NAME, self.ports).tank.events
        assert sorted(e.text for e in events if isinstance(e, Note)) == model.meaning()

    @rule(side=SIDES)
    def record(self, side: int) -> None:
        self.tell(side, self.text())
        self.check(side)

    @rule()
    def record_the_same_in_both(self) -> None:
        text = self.text()
        for side in (0, 1):
            self.tell(side, text)
            self.check(side)

    @rule(side=SIDES, pick=PICKS)
    def correct(self, side: int, pick: int) -> None:
        model = self.use(side)
        standing = sorted(model.standing(), key=model.born.__getitem__)
        if standing:
            key, text = standing[pick % len(standing)], self.text()
            (entry,) = correct(ME, self.number(key), (text,), self.ports).entries
            self.count += 1
            model.write({entry.key: (text, key)}, self.count)
            self.check(side)

    @rule(side=SIDES, pick=PICKS)
    def undo_one(self, side: int, pick: int) -> None:
        model = self.use(side)
        standing = sorted(model.standing(), key=model.born.__getitem__)
        if standing:
            key = standing[pick % len(standing)]
            undo(ME, self.ports, number=self.number(key))
            model.undone.add(key)
            self.check(side)

    @rule(side=SIDES)
    def undo_last(self, side: int) -> None:
        model = self.use(side)
        if set(model.texts) - model.undone:  # else the tank itself would be undone
            undo(ME, self.ports, name=NAME)
            model.undo_last()
            self.check(side)

    @rule(side=SIDES)
    def export_all_and_import_in_the_other(self, side: int) -> None:
        target = self.folder / f"{self.text()}.json"
        self.use(side)
        export_tank(ME, NAME, target, self.ports)
        self.use(1 - side).take(self.models[side])
        import_file(ME, target, Asked(), self.ports)
        self.check(1 - side)

    @rule(side=SIDES)
    def merge_with_the_other(self, side: int) -> None:
        self.use(side).take(self.models[1 - side])
        merge_journal(ME, self.file(1 - side), self.ports)
        self.check(side)

    @rule(side=SIDES, other=st.booleans(), ending=st.sampled_from((".tank.toml", ".csv")))
    def import_what_stands(self, side: int, other: bool, ending: str) -> None:
        target = self.folder / f"{self.text()}{ending}"
        model = self.use(side)
        export_tank(ME, NAME, target, self.ports)
        into = 1 - side if other else side
        wanted = Counter(model.meaning()) - self.use(into).held()
        done = import_file(ME, target, Asked(NAME), self.ports)
        assert done.added == wanted.total()
        self.learn(into)
        self.check(into)

    @rule(side=SIDES, pick=PICKS, how=st.sampled_from(("add", "change", "remove", "nothing")))
    def edit_the_mirror(self, side: int, pick: int, how: str) -> None:
        model = self.use(side)
        folder = self.folder / f"mirror-{side}"
        mirror(ME, folder, self.ports)
        file = folder / "study.tank.toml"
        text = file.read_text("utf-8")
        texts = Counter(model.meaning())
        once = sorted(each for each, count in texts.items() if count == 1)
        if how == "add":
            new = self.text()
            block = f'\n[[event]]\nkind = "note"\nat = 2026-03-03\ntext = "{new}"\n'
            file.write_text(text + block, encoding="utf-8")
        elif once and how != "nothing":
            old = once[pick % len(once)]
            (key,) = (key for key in model.standing() if model.texts[key] == old)
            line = f'text = "{old}"'
            assert text.count(line) == 1
            if how == "change":
                text = text.replace(line, f'text = "{self.text()}"')
            else:
                blocks = text.split("[[event]]")
                text = "[[event]]".join(block for block in blocks if line not in block)
                model.undone.add(key)
            file.write_text(text, encoding="utf-8")
        (done,) = mirror(ME, folder, self.ports)
        assert done.clashes == ()
        self.learn(side)
        self.check(side)
        assert not mirror(ME, folder, self.ports)[0].written

    def teardown(self) -> None:
        """In the end both are joined, mean the same, and go elsewhere without a loss."""
        try:
            one, two = self.models
            two_before = Model(
                dict(two.texts), dict(two.place_of), dict(two.born), set(two.undone), []
            )
            self.merge_with_the_other(0)
            two.take(Model(dict(one.texts), dict(one.place_of), dict(one.born), one.undone, []))
            self.use(1)
            merge_journal(ME, self.file(0), self.ports)
            self.check(1)
            assert one.meaning() == two.meaning()
            assert set(two_before.texts) <= set(one.texts)
            self.moved_elsewhere()
        finally:
            shutil.rmtree(self.folder, ignore_errors=True)
            if self.before is None:
                os.environ.pop(WHERE, None)
            else:
                os.environ[WHERE] = self.before

    def moved_elsewhere(self) -> None:
        first, second = self.folder / "first.json", self.folder / "second.json"
        self.use(0)
        export_tank(ME, NAME, first, self.ports)
        shutil.copy(empty(), self.file(2))
        os.environ[WHERE] = str(self.file(2))
        import_file(ME, first, Asked(), self.ports)
        export_tank(ME, NAME, second, self.ports)
        assert first.read_bytes() == second.read_bytes()


def run(examples: int, steps: int) -> None:
    machine: Callable[[], Any] = Keeping
    wanted = settings(max_examples=examples, stateful_step_count=steps, deadline=None)
    run_state_machine_as_test(machine, settings=wanted)


def test_any_sequence_ends_in_the_same_meaning() -> None:
    run(4, 12)


@pytest.mark.slow
def test_any_long_sequence_ends_in_the_same_meaning() -> None:
    run(60, 40)
