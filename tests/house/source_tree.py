"""The files of the repository and the names in them, read without importing anything."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "watervane"

Function = ast.FunctionDef | ast.AsyncFunctionDef
Documented = ast.Module | ast.ClassDef | Function


@dataclass(frozen=True)
class Name:
    """A public parameter or record field and where it stands."""

    name: str
    place: str


def python_files(folder: Path) -> list[Path]:
    """Every Python file under a folder, sorted."""
    return sorted(folder.rglob("*.py"))


@cache
def parsed(path: Path) -> ast.Module:
    """The syntax tree of one file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def place(path: Path, line: int) -> str:
    """A place as an editor understands it."""
    shown = path.relative_to(ROOT) if path.is_relative_to(ROOT) else path
    return f"{shown}:{line}"


def functions(tree: ast.AST) -> Iterator[Function]:
    """Every function and method, nested ones too."""
    for node in ast.walk(tree):
        if isinstance(node, Function):
            yield node


def body_lines(function: Function) -> int:
    """Lines from the first statement after the docstring to the last."""
    statements = function.body
    if ast.get_docstring(function, clean=False) is not None:
        statements = statements[1:]
    if not statements:
        return 0
    return (function.end_lineno or function.lineno) - statements[0].lineno + 1


def public_nodes(tree: ast.Module) -> Iterator[ast.ClassDef | Function]:
    """Functions and classes of a module whose names have no underscore in front."""
    for node in tree.body:
        if isinstance(node, ast.ClassDef | Function) and not node.name.startswith("_"):
            yield node


def public_functions(tree: ast.Module) -> Iterator[Function]:
    """Public functions, and the public methods of public classes."""
    for node in public_nodes(tree):
        if isinstance(node, Function):
            yield node
            continue
        for member in node.body:
            if isinstance(member, Function) and not member.name.startswith("_"):
                yield member


def parameters(function: Function) -> list[str]:
    """The names of all parameters."""
    given = function.args
    return [each.arg for each in (*given.posonlyargs, *given.args, *given.kwonlyargs)]


def public_fields(tree: ast.Module) -> Iterator[tuple[str, int, str]]:
    """Annotated fields of public classes: name, line, and the string written below them."""
    for node in public_nodes(tree):
        if not isinstance(node, ast.ClassDef):
            continue
        for member, after in zip(node.body, [*node.body[1:], None], strict=True):
            if isinstance(member, ast.AnnAssign) and isinstance(member.target, ast.Name):
                yield member.target.id, member.lineno, _text(after)


def _text(node: ast.stmt | None) -> str:
    if (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
    ):
        return node.value.value
    return ""


def boundary_names(path: Path) -> Iterator[Name]:
    """Public parameters and fields of one file."""
    tree = parsed(path)
    for function in public_functions(tree):
        for name in parameters(function):
            yield Name(name, place(path, function.lineno))
    for name, line, _ in public_fields(tree):
        yield Name(name, place(path, line))


@cache
def kept_files() -> tuple[Path, ...]:
    """Every file under version control."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"],  # noqa: S607
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    paths = [ROOT / name for name in listed.stdout.split("\0") if name]
    return tuple(path for path in paths if path.is_file())


@cache
def kept_texts() -> dict[str, str]:
    """The text of every kept file that is text, by its path in the repository."""
    texts = {}
    for path in kept_files():
        try:
            texts[path.relative_to(ROOT).as_posix()] = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
    return texts
