"""Every trouble of a journal has its sentence, and no sentence is left over."""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path

import watervane
from watervane.wording.templates import templates

SOURCE = Path(watervane.__file__).parent
SENTENCES = tomllib.loads((SOURCE / "wording" / "journal.toml").read_text("utf-8"))


def literals(*folders: str) -> set[str]:
    """Every text that stands in the code of some packages or modules."""
    files = [path for folder in folders for path in SOURCE.glob(f"{folder}*")]
    paths = [path for each in files for path in ([each] if each.is_file() else each.rglob("*.py"))]
    return {
        node.value
        for path in paths
        if path.suffix == ".py"
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def raised() -> set[str]:
    """First arguments of all troubles."""
    return {
        text
        for path in (SOURCE / "journal").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call)
        and getattr(node.func, "id", "") in ("JournalTrouble", "Finding")
        and node.args
        for part in ast.walk(node.args[0])
        if isinstance(part, ast.Constant) and isinstance(text := part.value, str)
    }


def test_every_trouble_has_its_sentence() -> None:
    assert len(raised()) > 25
    assert sorted(raised() - set(templates())) == []


def test_no_sentence_is_left_over() -> None:
    used = literals("journal", "app", "cli", "exchange", "wording", "bootstrap")
    assert sorted(set(SENTENCES) - used) == []


def test_what_stops_a_write_tells_a_remedy() -> None:
    spoken = (
        "photo-written",
        "kept-",
        "forecast-not-kept",
        "tanks-",
        "tank-shown",
        "tank-entries",
        "tank-no-entries",
        "look-over-",
    )
    silent = [k for k, v in SENTENCES.items() if "remedy" not in v and not k.startswith(spoken)]
    assert silent == []
