"""Nothing is skipped, stubbed or left for later."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from source_tree import ROOT, functions, place, python_files

EXCUSES = {"skip", "skipif", "xfail", "importorskip"}
LATER = re.compile(r"\b(TODO|FIXME|XXX|HACK|WIP)\b")


def excuses(path: Path) -> list[str]:
    """Places where a test is allowed not to run or to fail."""
    return [
        f"{place(path, node.lineno)}: {node.attr}"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in EXCUSES
    ]


def in_protocol(path: Path, line: int) -> bool:
    """Whether the line stands in a class that only declares a shape."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ClassDef) and node.lineno <= line <= (node.end_lineno or 0):
            names = {base.id for base in node.bases if isinstance(base, ast.Name)}
            if "Protocol" in names:
                return True
    return False


def stubs(path: Path) -> list[str]:
    """Functions that promise something and do nothing.

    A decorated one may: a command group's callback is its decorator and its help.
    """
    found = []
    for function in functions(ast.parse(path.read_text(encoding="utf-8"))):
        body = [each for each in function.body if not _is_text(each)]
        empty = all(isinstance(each, ast.Pass) or _is_ellipsis(each) for each in body)
        refuses = any(
            isinstance(each, ast.Raise) and "NotImplementedError" in ast.dump(each) for each in body
        )
        if refuses or (
            empty and not (function.decorator_list or in_protocol(path, function.lineno))
        ):
            found.append(f"{place(path, function.lineno)}: {function.name}")
    return found


def _is_text(node: ast.stmt) -> bool:
    return (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
    )


def _is_ellipsis(node: ast.stmt) -> bool:
    return (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and node.value.value is Ellipsis
    )


@pytest.mark.parametrize(
    "path",
    [path for path in python_files(ROOT / "tests") if path.parent.name != "house"],
    ids=lambda path: str(path.relative_to(ROOT)),
)
def test_no_test_is_skipped_or_expected_to_fail(path: Path) -> None:
    assert excuses(path) == []


@pytest.mark.parametrize(
    "path", python_files(ROOT / "src"), ids=lambda path: str(path.relative_to(ROOT))
)
def test_nothing_is_a_stub_or_left_for_later(path: Path) -> None:
    assert stubs(path) == []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        assert not LATER.search(line), place(path, number)


def test_excuses_and_stubs_are_noticed(tmp_path: Path) -> None:
    planted = tmp_path / "planted.py"
    planted.write_text(
        "import pytest\n@pytest.mark.skipif(True)\ndef test_it(): pytest.xfail()\n"
        "def promise():\n    'Do it.'\ndef later():\n    raise NotImplementedError\n"
        "class Shape(Protocol):\n    def area(self): ...\n",
        encoding="utf-8",
    )
    assert len(excuses(planted)) == 2
    assert [line.rsplit(" ", 1)[1] for line in stubs(planted)] == ["promise", "later"]
