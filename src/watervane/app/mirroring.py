"""Keep a folder of tank files and the journal in step, whichever of the two was written to.

Beside the files lies what both said when they were last brought into step. What a file says
otherwise since is taken into the journal as new entries, corrections and undoings; what the journal
says otherwise is written into the file; where both speak of one thing differently the journal's
word stands, the file's text is kept beside, and both are told.
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
import re
import unicodedata
from collections import Counter
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from watervane.app.diverging import apart, described, log_of
from watervane.app.ports import BadInput, Ports
from watervane.app.sameness import content
from watervane.app.unit_of_work import UnitOfWork
from watervane.records import Clash, Entry, Finding, Person, Tank, Written

ENDING = ".tank.toml"
STATE = ".watervane-mirror"
FORMAT_MIRROR = "watervane-mirror/1"


@dataclass(frozen=True, slots=True)
class Mirrored:
    """What bringing one tank and its file into step came to.

    ``file`` is its name in the folder; ``written`` whether the file was written anew.
    """

    tank: str
    file: str
    new_tank: bool = False
    added: int = 0
    corrected: int = 0
    undone: int = 0
    described: bool = False
    written: bool = False
    clashes: tuple[Clash, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(slots=True)
class _State:
    """What a tank and its file said when they were last in step."""

    key: str
    file: str
    text: str


@dataclass(slots=True)
class _Done:
    """Counts of one tank on its way."""

    added: int = 0
    corrected: int = 0
    undone: int = 0
    described: bool = False
    clashes: list[Clash] = field(default_factory=list)


def mirror(actor: Person, folder: Path, ports: Ports) -> tuple[Mirrored, ...]:
    """Bring every tank of the journal and every tank file of a folder into step.

    Parameters
    ----------
    actor
        Whose tanks they are.
    folder
        Made where it is missing. Files that are no tank files are left alone.
    ports
        The outside parts.

    Returns
    -------
    tuple
        One of each tank and of each file that could not be read, which is left as it is.

    Raises
    ------
    BadInput
        Where the journal or the folder cannot be written. Each tank is one commit.
    """
    states = _states(folder, ports)
    known = {state.file for state in states.values()}
    strangers = [path for path in sorted(folder.glob(f"*{ENDING}")) if path.name not in known]
    done = [one for path in strangers if (one := _adopt(actor, path, states, ports)) is not None]
    with ports.journal.open() as journal, journal.looking(actor) as view:
        tanks = [(tank.key, tank.name) for tank in view.tanks()]
    adopted = {one.file for one in done if one.new_tank or one.findings}
    for key, name in tanks:
        state = states.get(key)
        if state is None:
            state = _State(key, _free_name(name, folder, states), "")
            states[key] = state
        if state.file not in adopted:
            done.append(_step(actor, folder, state, ports))
    gone = set(states) - {key for key, _ in tanks}
    for state in (states[key] for key in sorted(gone)):
        if (folder / state.file).exists():
            left = Finding("mirror-tank-gone", "caution", {"file": state.file})
            done.append(Mirrored("", state.file, findings=(left,)))
    return tuple(done)


def _adopt(actor: Person, path: Path, states: dict[str, _State], ports: Ports) -> Mirrored | None:
    """A file that was put into the folder: a new tank, or one that goes by its name."""
    try:
        text = ports.exchange.read_text(path)
        tank = ports.exchange.parse_tank(text, path.name)
    except BadInput as error:
        return Mirrored("", path.name, findings=tuple(error.problems))
    with ports.journal.open() as journal:
        with journal.looking(actor) as view:
            alike = [t.key for t in view.tanks() if t.name.casefold() == tank.name.casefold()]
        if not alike:
            with journal.writing(actor, what="mirror", asked=f"{path.name}\n{text}") as work:
                key = work.add_tank(tank).tank
            states[key] = _State(key, path.name, text)
            _keep(path.parent, states[key], ports)
            return Mirrored(tank.name, path.name, new_tank=True, added=len(log_of(tank)))
    if alike[0] in states:
        told = {"file": path.name, "name": tank.name, "other": states[alike[0]].file}
        return Mirrored(tank.name, path.name, findings=(Finding("mirror-twice", "problem", told),))
    states[alike[0]] = _State(alike[0], path.name, "")
    return None


def _step(actor: Person, folder: Path, state: _State, ports: Ports) -> Mirrored:
    """Bring one tank and its file into step."""
    path = folder / state.file
    text = ports.exchange.read_text(path) if path.exists() else ""
    try:
        there = ports.exchange.parse_tank(text, state.file) if text else None
    except BadInput as error:
        return Mirrored("", state.file, findings=tuple(error.problems))
    done = _Done()
    with ports.journal.open() as journal:
        if there is not None and text != state.text:
            base = ports.exchange.parse_tank(state.text, state.file) if state.text else None
            with journal.writing(actor, what="mirror", asked=f"{state.text}\n{text}") as work:
                done = _take(work, state.key, base, there, ports)
        with journal.looking(actor) as view:
            here = view.tank(state.key)
    told: dict[str, Any] = {
        "added": done.added,
        "corrected": done.corrected,
        "undone": done.undone,
        "described": done.described,
        "clashes": tuple(done.clashes),
    }
    new, findings = _write_back(path, text, there, here, done, state, ports)
    wrote = new != text and not any(f.key == "mirror-file-moving" for f in findings)
    return Mirrored(here.name, state.file, **told, written=wrote, findings=tuple(findings))


def _write_back(
    path: Path,
    text: str,
    there: Tank | None,
    here: Tank,
    done: _Done,
    state: _State,
    ports: Ports,
) -> tuple[str, list[Finding]]:
    """Give the file what it lacks of the journal, and remember what both now say."""
    findings = []
    fits = there is not None and _alike(there, here, ports)
    new = text if fits else _rewritten(text, there, here, ports)
    if new != text:
        if path.exists() and ports.exchange.read_text(path) != text:
            return new, [Finding("mirror-file-moving", "caution", {"file": state.file})]
        is_longer = new.startswith(text.rstrip())
        if there is not None and not is_longer and not _says_no_more(there, text, done, ports):
            # Comments and what lost against the journal would be gone with the old text.
            older = _older(path.parent, state, text, ports)
            findings.append(Finding("mirror-older-kept", "info", {"file": older}))
        ports.exchange.write_file(path, new, over=True)
    if not text and state.text:
        findings.append(Finding("mirror-file-back", "info", {"file": state.file}))
    if new != state.text:
        state.text = new
        _keep(path.parent, state, ports)
    return new, findings


def _says_no_more(there: Tank, text: str, done: _Done, ports: Ports) -> bool:
    """Whether all that stands in a file is in the journal: no comments, and nothing that lost."""
    return not done.clashes and ports.journal.tank_text(there) == text


def _take(work: UnitOfWork, key: str, base: Tank | None, there: Tank, ports: Ports) -> _Done:
    """Write into the journal what the file says otherwise."""
    here = work.tank(key)
    plain = _plain(here, ports)
    as_in_file = {content(a): content(b) for a, b in zip(log_of(here), log_of(plain), strict=True)}
    told = apart(base, plain, there)
    done = _Done(clashes=list(told.clashes))
    standing = [(as_in_file[content(entry.what)], entry) for entry in work.entries(key)]
    if told.description is not None:
        work.describe(key, told.description)
        done.described = True
    for old, new in told.changed:
        entry = _find(standing, content(old))
        if entry is not None:
            work.correct(entry.number, Written(new))
            done.corrected += 1
    for old in told.removed:
        entry = _find(standing, content(old))
        if entry is not None:
            work.undo_entry(entry.number)
            done.undone += 1
    if told.added:
        work.record(key, [Written(what) for what in told.added])
        done.added = len(told.added)
    return done


def _find(standing: list[tuple[Hashable, Entry]], said: Hashable) -> Entry | None:
    """The newest standing entry that says so; it is taken off the list."""
    for pair in reversed(standing):
        if pair[0] == said:
            standing.remove(pair)
            return pair[1]
    return None


def _plain(here: Tank, ports: Ports) -> Tank:
    """A tank of the journal as a file says it: what no file can tell is left out."""
    return ports.exchange.parse_tank(ports.journal.tank_text(here), here.name)


def _alike(there: Tank, here: Tank, ports: Ports) -> bool:
    """Whether a file says what the journal says, in whatever order and words."""
    plain = _plain(here, ports)
    return described(there) == described(plain) and _log(there) == _log(plain)


def _log(tank: Tank) -> Counter[Hashable]:
    return Counter(map(content, log_of(tank)))


def _rewritten(text: str, there: Tank | None, here: Tank, ports: Ports) -> str:
    """The file as the journal has it; where only entries came, they follow the old text."""
    whole = ports.journal.tank_text(here)
    if there is None:
        return whole
    plain = _plain(here, ports)
    left = _log(there)
    if left - _log(plain) or described(there) != described(plain):
        return whole
    log = ("events", "habits", "readings")
    new: dict[str, Any] = {name: _unsaid(getattr(plain, name), left) for name in log}
    tail = ports.journal.tank_text(dataclasses.replace(plain, **new))
    begins = [at for mark in ("[[event]]", "[[reading]]") if (at := tail.find(f"\n{mark}")) >= 0]
    longer = f"{text.rstrip()}\n{tail[min(begins) :]}" if begins else text
    try:
        fits = _alike(ports.exchange.parse_tank(longer, ""), here, ports)
    except BadInput:
        fits = False
    return longer if fits else whole


def _unsaid(log: Sequence[Any], left: Counter[Hashable]) -> tuple[Any, ...]:
    """Entries beyond those that are said already."""
    new = []
    for what in log:
        said = content(what)
        if left[said] > 0:
            left[said] -= 1
        else:
            new.append(what)
    return tuple(new)


def _older(folder: Path, state: _State, text: str, ports: Ports) -> str:
    """Keep a text that is about to be replaced; the same text is kept once."""
    digest = hashlib.sha256(text.encode()).hexdigest()[:8]
    name = f"{STATE}/older/{state.file.removesuffix(ENDING)}-{digest}{ENDING}"
    ports.exchange.write_file(folder / name, text, over=True)
    return name


def _states(folder: Path, ports: Ports) -> dict[str, _State]:
    found = {}
    for path in sorted((folder / STATE).glob("*.json")):
        try:
            told = json.loads(ports.exchange.read_text(path))
            state = _State(told["key"], told["file"], told["text"])
        except (ValueError, KeyError, TypeError):
            problem = Finding("mirror-state-bad", "problem", {"file": f"{STATE}/{path.name}"})
            raise BadInput([problem]) from None
        found[state.key] = state
    return found


def _keep(folder: Path, state: _State, ports: Ports) -> None:
    told = {"format": FORMAT_MIRROR, "key": state.key, "file": state.file, "text": state.text}
    text = json.dumps(told, ensure_ascii=False, indent=1)
    ports.exchange.write_file(folder / STATE / f"{state.key}.json", f"{text}\n", over=True)


def _free_name(name: str, folder: Path, states: Mapping[str, _State]) -> str:
    """A file name of a tank's name, in letters every system has."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "tank"
    taken = {state.file for state in states.values()}
    count = 1
    file = f"{stem}{ENDING}"
    while file in taken or (folder / file).exists():
        count += 1
        file = f"{stem}-{count}{ENDING}"
    return file
