"""Every key used anywhere has a sentence, and a key without one still reads."""

from __future__ import annotations

import ast
import string
import tomllib
from collections.abc import Collection, Iterator
from pathlib import Path

import pytest

import watervane
from watervane.records import Finding, Span
from watervane.wording import finding_line, finding_text, phrase
from watervane.wording.templates import FILES, templates

SOURCE = Path(watervane.__file__).parent


def used_keys(names: Collection[str]) -> Iterator[tuple[str, str]]:
    """The constant first arguments of every call of one of these in the package."""
    for path in sorted(SOURCE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and _called(node) in names:
                first = node.args[0] if node.args else _keyword(node, "key")
                for constant in _constants(first):
                    yield constant, f"{path.name}:{node.lineno}"


def _called(node: ast.Call) -> str:
    if isinstance(node.func, ast.Name):
        return node.func.id
    return node.func.attr if isinstance(node.func, ast.Attribute) else ""


def _keyword(node: ast.Call, name: str) -> ast.expr | None:
    return next((word.value for word in node.keywords if word.arg == name), None)


def _constants(node: ast.expr | None) -> Iterator[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _constants(node.body)
        yield from _constants(node.orelse)


def test_every_finding_and_phrase_in_the_package_has_a_template() -> None:
    callers = ("Finding", "phrase", "problem", "caution", "info", "fail", "refuse", "Refusal")
    used = list(used_keys(callers))
    assert len(used) > 40
    missing = sorted({f"{key} ({place})" for key, place in used if key not in templates()})
    assert not missing


def test_no_key_stands_in_two_files() -> None:
    seen: list[str] = []
    for name in FILES:
        seen += tomllib.loads((SOURCE / "wording" / name).read_text(encoding="utf-8"))
    assert len(seen) == len(set(seen))


def test_an_unknown_key_still_reads() -> None:
    finding = Finding("assumed-moon", arguments={"phase_share": 0.25, "names": ("a", "b")})
    assert finding_text(finding) == "Assumed moon: phase share 0.250, names a and b."


def test_a_missing_argument_never_breaks_a_message() -> None:
    for key, template in templates().items():
        wanted = [field for _, field, _, _ in string.Formatter().parse(template) if field]
        text = phrase(key)
        assert text
        assert "{" not in text or not wanted


def test_arguments_are_said_plainly() -> None:
    finding = Finding("odd", arguments={"mass": Span(0.02, 0.05), "on": True}, line=7)
    assert finding_line(finding) == "line 7: Odd: mass 0.020 to 0.050, on yes."


def test_fields_are_words_but_keys_to_write_stay_as_they_are() -> None:
    words = finding_text(Finding("assumed-source-water", arguments={"missing": ["ph", "gh_dgh"]}))
    assert "pH and GH" in words
    keys = phrase("no-such-template", keys=["time_zone", "ph"])
    assert keys.endswith("keys time_zone and ph.")


@pytest.mark.parametrize("mass", [Span(0.259, 0.924), [0.259, 0.924]])
@pytest.mark.parametrize("key", ["assumed-feeding", "assumed-feeding-goes-on"])
def test_an_assumed_meal_lies_between_two_masses(key: str, mass: object) -> None:
    assert "0.26 to 0.92 g" in finding_text(Finding(key, "caution", {"mass_g": mass}))
