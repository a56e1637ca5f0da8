"""Help and version cost nothing: of other people's packages only the option parser is loaded."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = {
    *("jax", "jaxlib", "numpy", "scipy", "rich", "tomlkit", "tree_sitter", "vl_convert"),
    *("watervane.engine", "watervane.process", "watervane.charts", "watervane.exchange"),
}


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
def test_nothing_heavy_is_loaded(arguments: tuple[str, ...]) -> None:
    modules = loaded(*arguments)
    assert "typer" in modules
    assert sorted(HEAVY & modules) == []


def test_a_heavy_module_would_be_seen() -> None:
    assert "watervane.exchange" in loaded("schema")
