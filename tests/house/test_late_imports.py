"""A package that loads its own modules is loaded whole by whoever comes first, in any thread.

Python locks one module at a time. A thread that asks for `package.module` holds that module while
all of its package is loaded; another one may meanwhile load a module of the half loaded package,
and each gets what the other has not finished. Asked for as the package first, nobody holds a part.
"""

from __future__ import annotations

import ast
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from source_tree import PACKAGE, Function, functions, parsed, place, python_files

Import = ast.Import | ast.ImportFrom

PLANTED = {
    "def late():\n    from watervane.exchange.quantities import parse_length_mm": True,
    "def late():\n    import watervane.exchange.quantities": True,
    "from watervane.limits.ammonia import FOUR_DAY_FACTOR": True,
    "from watervane.limits import judge\nfrom watervane.limits.told import told_limit": False,
    "def late():\n    from watervane.exchange import quantities": False,
    "def late():\n    from watervane.planning.returning import returning": False,
    "if TYPE_CHECKING:\n    from watervane.exchange.quantities import parse_length_mm": False,
    "from watervane.records.tank import Tank": False,
}
TWO_AT_ONCE = """
    import sys
    import threading
    import time

    import watervane.web
    from watervane.app.blueprint_ports import BlueprintRequest
    from watervane.bootstrap import real_ports

    begun = threading.Event()
    wrong = []


    class Slowly:
        def find_spec(self, name, path=None, target=None):
            if name.startswith("watervane.exchange."):
                begun.set()
                time.sleep(0.005)  # the other thread has its turn


    def one(plan):
        plan.plan(BlueprintRequest({{"shape": "rectangular", "length": "60 cm", "width": "30 cm",
                                    "height": "36 cm"}}))


    def other(plan):
        begun.wait(30)
        plan.plan_water({{"tap": ("kh 11 dKH", "gh 15 dGH")}})


    def run(asked):
        try:
            asked(ports.blueprint)
        except Exception as error:
            wrong.append(repr(error))


    ports = real_ports()
    sys.meta_path.insert(0, Slowly())
    threads = [threading.Thread(target=run, args=(asked,)) for asked in ({order})]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    print(begun.is_set(), *wrong)
"""


def name_of(path: Path) -> str:
    """As it is imported."""
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def loading_their_own() -> frozenset[str]:
    """Packages whose first line loads modules of theirs."""
    return frozenset(
        name_of(path)
        for path in python_files(PACKAGE)
        if path.name == "__init__.py"
        and any(isinstance(each, Import) for each in parsed(path).body)
    )


@pytest.fixture(scope="module")
def loaded_late() -> frozenset[str]:
    """Those that are not loaded yet when the server's threads begin."""
    code = "import sys, watervane.bootstrap, watervane.web; watervane.bootstrap.real_ports()\n"
    done = subprocess.run(
        [sys.executable, "-c", code + "print(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
    )
    return loading_their_own() - set(done.stdout.split())


def own_imports(scope: ast.Module | Function) -> Iterator[Import]:
    """Imports that run with a scope, in order; neither functions in it nor those for types."""
    waiting: list[ast.AST] = list(reversed(scope.body))
    while waiting:
        node = waiting.pop()
        if isinstance(node, Import):
            yield node
        elif not isinstance(node, Function | ast.ClassDef) and not _for_types(node):
            waiting.extend(reversed(list(ast.iter_child_nodes(node))))


def _for_types(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)


def named(node: Import) -> list[str]:
    """The modules that an import asks for first."""
    return [node.module or ""] if isinstance(node, ast.ImportFrom) else [e.name for e in node.names]


def parts_first(tree: ast.Module, own: str, packages: frozenset[str]) -> list[int]:
    """Lines that ask for a module of a package before the package."""
    lines = []
    for scope in (tree, *functions(tree)):
        whole: set[str] = set()
        for node in own_imports(scope):
            for module in named(node):
                whole |= {module} & packages
                package = module.rpartition(".")[0]
                inside = own == package or own.startswith(f"{package}.")
                if package in packages and package not in whole and not inside:
                    lines.append(node.lineno)
    return lines


def test_whoever_loads_late_asks_for_the_package_first(loaded_late: frozenset[str]) -> None:
    assert {"watervane.engine", "watervane.exchange", "watervane.journal"} <= loaded_late
    found = [
        place(path, line)
        for path in python_files(PACKAGE)
        for line in parts_first(parsed(path), name_of(path), loaded_late)
    ]
    assert found == [], "ask for the package, as in `from watervane.exchange import record_text`"


@pytest.mark.parametrize("code", PLANTED)
def test_a_planted_part_is_found(code: str, loaded_late: frozenset[str]) -> None:
    lines = parts_first(ast.parse(code), "watervane.bootstrap_planted", loaded_late)
    assert bool(lines) == PLANTED[code]


@pytest.mark.parametrize("order", ["one, other", "other, one"])
def test_two_threads_that_need_the_same_package_both_get_it(order: str) -> None:
    code = textwrap.dedent(TWO_AT_ONCE.format(order=order))
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.split("\n")[0] == "True", done.stdout
