"""A kept program computes what the function does, is found again, and is made anew if spoilt."""

from __future__ import annotations

import pickle
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from jax.experimental import serialize_executable

from watervane.process.arrays import jax, jnp
from watervane.process.kept_program import KeptProgram, load_ahead

X = np.linspace(0.0, 1.0, 5)


@pytest.fixture
def traced(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> tuple[Any, list[int]]:
    """A function that notes each tracing, and an empty folder to keep programs in."""
    monkeypatch.setenv("WATERVANE_CACHE", str(tmp_path))
    times: list[int] = []

    def function(x: Any, count: Any) -> tuple[Any, dict[str, Any]]:
        times.append(1)
        return jnp.sin(x) + count, {"twice": 2.0 * x}

    return jax.jit(function), times


def _check(program: KeptProgram) -> None:
    first, second = program(X, 3)
    np.testing.assert_allclose(first, np.sin(X) + 3.0, rtol=1e-15)
    np.testing.assert_array_equal(second["twice"], 2.0 * X)


def test_the_second_process_neither_traces_nor_compiles(traced: Any, tmp_path: Path) -> None:
    function, times = traced
    first = KeptProgram(function, "sine")
    _check(first)
    _check(first)
    assert (first.made, len(times)) == (1, 1)
    (kept,) = tmp_path.glob("sine-*-program")
    jax.clear_caches()
    _check(KeptProgram(function, "sine"))
    assert len(times) == 1
    assert list(tmp_path.glob("sine-*")) == [kept], "nothing half written stays behind"


def test_a_program_that_loads_but_does_not_run_is_made_anew(traced: Any, tmp_path: Path) -> None:
    function, times = traced
    _check(KeptProgram(function, "sine"))
    (kept,) = tmp_path.glob("sine-*-program")
    other = jax.jit(lambda x: x * 2.0).lower(X[:2]).compile()
    kept.write_bytes(pickle.dumps(serialize_executable.serialize(other)))
    jax.clear_caches()
    _check(KeptProgram(function, "sine"))
    assert len(times) == 2


def test_a_spoilt_file_is_replaced(traced: Any, tmp_path: Path) -> None:
    function, times = traced
    _check(KeptProgram(function, "sine"))
    (kept,) = tmp_path.glob("sine-*-program")
    whole = kept.read_bytes()
    kept.write_bytes(whole[: len(whole) // 2])
    jax.clear_caches()
    _check(KeptProgram(function, "sine"))
    assert len(times) == 2
    assert len(kept.read_bytes()) > len(whole) // 2


def test_a_folder_that_cannot_be_written_costs_time_but_nothing_else(
    traced: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    function, _ = traced
    monkeypatch.setenv("WATERVANE_CACHE", str(tmp_path / "a file" / "below"))
    (tmp_path / "a file").write_text("in the way")
    _check(KeptProgram(function, "sine"))


def test_threads_that_meet_it_unmade_make_it_once(traced: Any) -> None:
    function, times = traced
    program = KeptProgram(function, "sine")
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda _: _check(program), range(8)))
    assert (program.made, len(times)) == (1, 1)


def test_another_shape_is_another_version(traced: Any) -> None:
    function, times = traced
    program = KeptProgram(function, "sine")
    _check(program)
    np.testing.assert_allclose(program(X[:3], 3)[0], np.sin(X[:3]) + 3.0, rtol=1e-15)
    assert (program.made, len(times)) == (2, 2)


def test_a_program_loaded_ahead_is_the_one_that_runs(traced: Any, tmp_path: Path) -> None:
    function, times = traced
    _check(KeptProgram(function, "sine"))
    load_ahead("sine")
    for kept in tmp_path.glob("sine-*-program"):
        kept.unlink()  # so only what was loaded ahead can save tracing
    jax.clear_caches()
    _check(KeptProgram(function, "sine"))
    assert len(times) == 1


def test_loading_ahead_what_is_absent_or_spoilt_does_no_harm(traced: Any, tmp_path: Path) -> None:
    function, times = traced
    load_ahead("sine")
    _check(KeptProgram(function, "sine"))
    (kept,) = tmp_path.glob("sine-*-program")
    kept.write_bytes(b"cut short")
    load_ahead("sine")
    jax.clear_caches()
    _check(KeptProgram(function, "sine"))
    assert len(times) == 2
