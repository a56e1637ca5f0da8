"""Modules and functions stay small enough to be read in one sitting, and say what they are."""

from __future__ import annotations

from pathlib import Path

from rules import (
    BODY_LINES,
    MODULE_LINES,
    long_functions,
    long_modules,
    modules_without_a_subject,
    undocumented,
)
from source_tree import PACKAGE, ROOT

REPORTS = [ROOT / "benchmarks", ROOT / "validation", ROOT / "catalogue"]
FOLDERS = [
    PACKAGE,
    *(ROOT / name for name in ("tests", "benchmarks", "validation", "showing", "catalogue")),
]


def test_no_module_is_too_long() -> None:
    assert [breach for folder in FOLDERS for breach in long_modules(folder)] == []


def test_no_function_is_too_long() -> None:
    assert [each for folder in (PACKAGE, *REPORTS) for each in long_functions(folder)] == []


def test_every_module_has_a_subject() -> None:
    assert [each for folder in FOLDERS for each in modules_without_a_subject(folder)] == []


def test_everything_public_says_what_it_is() -> None:
    assert undocumented(PACKAGE) == []


def test_breaches_are_noticed(tmp_path: Path) -> None:
    (tmp_path / "utils.py").write_text('"""Told."""\n' + "\n" * MODULE_LINES, encoding="utf-8")
    body = "    x = 1\n" * (BODY_LINES + 1)
    (tmp_path / "pump.py").write_text(f"def lift():\n    'Told.'\n{body}", encoding="utf-8")
    assert [breach.rsplit("/", 1)[1].split(":")[0] for breach in long_modules(tmp_path)] == [
        "utils.py"
    ]
    assert "lift has 61 body lines" in long_functions(tmp_path)[0]
    assert "utils.py" in modules_without_a_subject(tmp_path)[0]
    assert len(undocumented(tmp_path)) == 1  # the module, not the function


def test_what_just_fits_is_no_breach(tmp_path: Path) -> None:
    body = "    x = 1\n" * BODY_LINES
    text = f'"""Told."""\n\n\ndef lift():\n    """Told."""\n{body}'
    text += "\n" * (MODULE_LINES - text.count("\n"))
    (tmp_path / "pump.py").write_text(text, encoding="utf-8")
    assert long_modules(tmp_path) + long_functions(tmp_path) + undocumented(tmp_path) == []
