"""Make a process ready to run members, before anything heavier is imported."""

from __future__ import annotations

import gc
from functools import cache


@cache
def warm_up() -> None:
    """What members need to run: few arenas, and their program, loaded while modules are read.

    Once a process: a worker asks before each of its jobs, and must neither load the program again
    nor leave out of the look for rubbish what earlier jobs made.

    Reading modules makes a great many objects that all stay. Looking through them for rubbish
    again and again takes a quarter of a second, so that waits; they are left out of it for good.
    """
    gc.disable()
    try:
        from watervane.process.memory_arenas import few_memory_arenas

        few_memory_arenas()
        from watervane.process.kept_program import load_ahead

        load_ahead("run_rows")
        import watervane.engine  # noqa: F401
    finally:
        gc.freeze()
        gc.enable()
