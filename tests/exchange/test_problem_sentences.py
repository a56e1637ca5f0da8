"""Each problem has its sentence, and no sentence is left over."""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path

import watervane
from watervane.wording.templates import templates

SOURCE = Path(watervane.__file__).parent
PROBLEMS = tomllib.loads((SOURCE / "wording" / "problems.toml").read_text("utf-8"))


def literals(folder: str) -> set[str]:
    """Every text that stands in the code of a package."""
    return {
        node.value
        for path in (SOURCE / folder).glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def test_every_sentence_belongs_to_a_problem_that_can_arise() -> None:
    used = literals("exchange") | literals("units")
    used |= {f"habit-without-{key}" for key in ("every", "from")}
    assert sorted(set(PROBLEMS) - used) == []


def test_every_refusal_of_the_unit_grammar_has_a_sentence() -> None:
    raised = {text for text in literals("units") if text.startswith("unit.")}
    only_for_programs = {"unit.unknown-quantity", "unit.unknown-style"}
    assert len(raised) > 15
    assert sorted(raised - set(PROBLEMS) - only_for_programs) == []


def test_no_key_is_told_in_two_files() -> None:
    for name in ("findings.toml", "phrases.toml"):
        other = tomllib.loads((SOURCE / "wording" / name).read_text("utf-8"))
        assert not other.keys() & PROBLEMS.keys()


def test_problems_that_stop_the_reader_tell_a_remedy() -> None:
    accepted = ("log-", "clock-twice")
    silent = [k for k, v in PROBLEMS.items() if "remedy" not in v and not k.startswith(accepted)]
    assert silent == []
    assert set(PROBLEMS) <= set(templates())
