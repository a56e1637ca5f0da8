"""Make a process ready to run members, before anything heavier is imported."""

from __future__ import annotations


def warm_up() -> None:
    """What members need to run: few arenas, and their program, loaded while modules are read."""
    from watervane.process.memory_arenas import few_memory_arenas

    few_memory_arenas()
    from watervane.process.kept_program import load_ahead

    load_ahead("run_rows")
