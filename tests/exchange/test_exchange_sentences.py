"""Every problem of taking in and writing out has its sentence, and no sentence is left over."""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path

import watervane
from watervane.wording.templates import templates

SOURCE = Path(watervane.__file__).parent
SENTENCES = tomllib.loads((SOURCE / "wording" / "exchange.toml").read_text("utf-8"))
ROOMS = ("exchange", "app", "cli", "wording")
TELLING = {"fail", "refuse", "problem", "_problem", "caution", "Finding", "Refusal", "phrase"}
MADE = {
    *(f"clash-{kind}" for kind in ("description", "correction", "undone", "request")),
    *(f"clash-{kind}" for kind in ("changed", "removed")),
    *(f"mirror-{part}" for part in ("added", "corrected", "undone")),
    *("imported-new-tank", "import-would-new-tank", "table-unit-none", "table-unit-none-basis"),
}  # fmt: skip
OWN = ("table-", "journal-file-", "export-", "import-", "mirror-", "clash-", "merge-", "joined")


def texts() -> set[str]:
    """Every text that stands in the code that tells of files."""
    return {
        node.value
        for room in ROOMS
        for path in (SOURCE / room).glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def told() -> set[str]:
    """Keys that are told by name."""
    return {
        node.args[0].value
        for room in ROOMS
        for path in (SOURCE / room).glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call)
        and getattr(node.func, "attr", getattr(node.func, "id", "")) in TELLING
        and node.args
        and isinstance(node.args[0], ast.Constant)
        and isinstance(node.args[0].value, str)
    }


def test_every_problem_has_its_sentence() -> None:
    own = {key for key in told() if key.startswith(OWN)}
    assert len(own) > 40
    assert sorted(own - set(templates())) == []


def test_no_sentence_is_left_over() -> None:
    assert sorted(set(SENTENCES) - texts() - MADE) == []


def test_a_problem_tells_what_would_be_accepted() -> None:
    problems = ("table-", "journal-file-", "export-there", "export-un", "export-ending", "merge-")
    spoken = ("table-encoding",)
    silent = [
        key
        for key, entry in SENTENCES.items()
        if key.startswith(problems) and not key.startswith(spoken) and "remedy" not in entry
    ]
    assert silent == []
