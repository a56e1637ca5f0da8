"""Keep a compiled program whole, so that the next process neither traces nor compiles it.

JAX's own cache keeps what the compiler made, but needs the traced program to look it up, and
tracing takes longer than loading. What is kept here is found by a digest of the sources it was
traced from, of the compiler's version and of the processor; where anything is amiss it is made
anew. JAX's cache is off besides: what was loaded from there cannot be kept again, it lacks parts.
"""

from __future__ import annotations

import hashlib
import pickle
import platform
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from functools import cache
from importlib import resources
from importlib.metadata import version
from importlib.resources.abc import Traversable
from pathlib import Path
from threading import Lock
from typing import Any

from jax.experimental import serialize_executable
from jax.stages import Compiled

from watervane.process.arrays import cache_folder, jax

TRACED_FROM = ("process", "chemistry", "reference")
_SUFFIXES = (".py", ".csv", ".toml")


class KeptProgram:
    """A compiled function, one version for each shape of its arguments.

    Parameters
    ----------
    function
        From ``jax.jit``.
    name
        Of the file it is kept in.
    """

    def __init__(self, function: Any, name: str) -> None:
        self._function, self._name = function, name
        self._programs: dict[tuple[Any, ...], Callable[..., Any]] = {}
        self._lock = Lock()  # two threads that meet it unmade would each make it

    @property
    def made(self) -> int:
        """How many versions were loaded or compiled."""
        return len(self._programs)

    def __call__(self, *arguments: Any) -> Any:
        """Run it; the first call with arguments of a shape loads or compiles it."""
        key = _shapes(arguments)
        if key not in self._programs:
            self._make_ready(key, arguments)
        return self._programs[key](*arguments)

    def _make_ready(self, key: tuple[Any, ...], arguments: tuple[Any, ...]) -> None:
        with self._lock:
            if key not in self._programs:
                words = " ".join(f"{what}{shape}" for what, shape in key)
                told = hashlib.sha256(words.encode()).hexdigest()[:16]
                path = cache_folder() / f"{self._name}-{_digest()}-{told}-program"
                self._programs[key] = _loaded(path, arguments) or self._compiled(path, arguments)

    def _compiled(self, path: Path, arguments: tuple[Any, ...]) -> Compiled:
        program: Compiled = self._function.lower(*arguments).compile()
        beside = path.with_suffix(f".{id(self)}")
        with suppress(OSError, ValueError, jax.errors.JaxRuntimeError):
            path.parent.mkdir(parents=True, exist_ok=True)
            beside.write_bytes(pickle.dumps(serialize_executable.serialize(program)))
            beside.replace(path)  # whole or not at all
        return program


LOADED_AHEAD = 2  # as many as a run of any size needs
_ahead: dict[Path, Future[Callable[..., Any]]] = {}


def load_ahead(name: str) -> None:
    """Begin to load the versions of a program that there are, beside whatever else is done.

    Loading takes a core for half a second, in which a new process still reads modules and the
    tank. What cannot be loaded is made anew when it is called.

    Parameters
    ----------
    name
        As given to `KeptProgram`.
    """
    with suppress(OSError):
        kept = sorted(
            cache_folder().glob(f"{name}-{_digest()}-*-program"),
            key=lambda path: path.stat().st_mtime,
            reverse=True,
        )
        pool = ThreadPoolExecutor(1)  # those made last are wanted first
        for path in kept[:LOADED_AHEAD]:
            if path not in _ahead:
                _ahead[path] = pool.submit(_unpacked, path.read_bytes())
        pool.shutdown(wait=False)


def _unpacked(content: bytes) -> Callable[..., Any]:
    kept = pickle.loads(content)  # noqa: S301  (our own, and machine code anyway)
    program: Callable[..., Any] = serialize_executable.deserialize_and_load(*kept)
    return program


def _loaded(path: Path, arguments: tuple[Any, ...]) -> Callable[..., Any] | None:
    """The kept program, if it is there and runs."""
    try:
        begun = _ahead.pop(path, None)
        program = _unpacked(path.read_bytes()) if begun is None else begun.result()
        jax.block_until_ready(program(*arguments))
    except Exception:  # noqa: BLE001  (absent, cut short, or read differently by the compiler)
        return None
    return program


def _shapes(arguments: tuple[Any, ...]) -> tuple[Any, ...]:
    """Kind and shape of all that is handed over; spelled out only where a program is made."""
    return tuple(
        (getattr(leaf, "dtype", type(leaf).__name__), getattr(leaf, "shape", ""))
        for leaf in jax.tree.leaves(arguments)
    )


@cache
def _digest() -> str:
    told = hashlib.sha256()
    for word in (version("jax"), version("jaxlib"), platform.machine(), _processor()):
        told.update(word.encode())
    for folder in TRACED_FROM:
        for file in _files(resources.files(f"watervane.{folder}")):
            told.update(file.name.encode() + file.read_bytes())
    return told.hexdigest()[:16]


def _files(folder: Traversable) -> list[Traversable]:
    found: list[Traversable] = []
    for each in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if each.is_dir():
            found += _files(each)
        elif each.name.endswith(_SUFFIXES):
            found.append(each)
    return found


def _processor() -> str:
    """What the processor can do: machine code for another one may stop the process."""
    with suppress(OSError):
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
        kinds = [line for line in lines if line.startswith(("flags", "Features", "model name"))]
        return "\n".join(sorted(set(kinds)))
    return f"{platform.processor()} {platform.node()}"
