"""Help comes at once, because nothing heavy is loaded for it; Ctrl-C is heard from the start."""

from __future__ import annotations

import signal
import subprocess
import sys

import pytest

# Of other people's packages only the option parser is loaded, of our own only the edge.
HEAVY = {
    *("altair", "jax", "jaxlib", "matplotlib", "numpy", "pandas", "rich", "scipy"),
    *("tomlkit", "tree_sitter", "tree_sitter_toml", "tzdata", "vl_convert"),
    *(f"watervane.{part}" for part in ("app", "charts", "engine", "exchange", "wording")),
    *(f"watervane.{part}" for part in ("forecast", "inference", "process", "chemistry")),
    *(f"watervane.{part}" for part in ("records", "reference", "units")),
}
# Stands for Ctrl-C while a module is being imported, at a moment a test can choose.
INTERRUPTED_IMPORT = """
import sys
from watervane.bootstrap import main

class Stop:
    def find_spec(self, name, path=None, target=None):
        if name == "typer":
            raise KeyboardInterrupt

sys.meta_path.insert(0, Stop())
main()
"""
BUSY_THREAD = """
import threading, time
from watervane.cli.guard import stop_at_once_when_interrupted

stop_at_once_when_interrupted()
worker = threading.Thread(target=time.sleep, args=(60,))
worker.start()
print("ready", flush=True)
worker.join()
"""


def loaded(*arguments: str) -> set[str]:
    """Every module that running the command loads, as the interpreter itself reports."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "watervane", *arguments],
        capture_output=True,
        text=True,
        check=True,
    )
    lines = done.stderr.splitlines()
    return {line.rsplit("|", 1)[1].strip() for line in lines if line.startswith("import time:")}


@pytest.mark.parametrize("arguments", [("--help",), ("--version",), ("forecast", "--help")])
def test_nothing_heavy_is_loaded_for_help(arguments: tuple[str, ...]) -> None:
    modules = loaded(*arguments)
    assert "typer" in modules
    assert sorted(HEAVY & modules) == []


def test_a_heavy_module_would_be_seen() -> None:
    assert {"watervane.exchange", "tomlkit"} <= loaded("schema")


def test_an_interruption_while_modules_load_leaves_one_line() -> None:
    done = subprocess.run(
        [sys.executable, "-c", INTERRUPTED_IMPORT], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "Stopped.\n")


def test_until_it_can_hear_an_interruption_the_program_loads_next_to_nothing() -> None:
    program = (
        "import sys\nbefore = set(sys.modules)\nimport watervane.bootstrap\n"
        "print(*sorted(set(sys.modules) - before - {'__future__'}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["watervane", "watervane.bootstrap"]


def test_interruption_leaves_at_once_even_while_threads_work() -> None:
    with subprocess.Popen(
        [sys.executable, "-c", BUSY_THREAD],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as run:
        assert run.stdout is not None
        assert run.stdout.readline() == "ready\n"
        run.send_signal(signal.SIGINT)
        _, err = run.communicate(timeout=20)
    assert (run.returncode, err) == (130, "Stopped.\n")


def test_the_engine_loads_none_of_what_takes_longest() -> None:
    told = "import sys, watervane.engine; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    slow = {"altair", "pandas", "scipy.optimize", "scipy.sparse", "scipy.stats", "sqlalchemy"}
    assert "jax" in done.stdout.split()
    assert not slow & set(done.stdout.split())


def test_a_process_is_warmed_up_once_however_often_it_is_asked() -> None:
    """What later jobs of a worker leave behind must stay within the look for rubbish."""
    told = (
        "import gc; from watervane.bootstrap_warmth import warm_up; warm_up()\n"
        "before = gc.get_freeze_count(); kept = [[] for _ in range(1000)]; warm_up()\n"
        "print(before > 0, gc.get_freeze_count() <= before, gc.isenabled())"
    )
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["True", "True", "True"]
