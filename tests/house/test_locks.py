"""The locks pin everything by hash, name no registry and agree with pyproject.toml."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version
from source_tree import ROOT, kept_files, parsed, place, python_files

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
RUN_TIME, DEVELOPMENT = ROOT / "requirements.lock", ROOT / "requirements-dev.lock"
LOCKS = [RUN_TIME, DEVELOPMENT]
BUILD = PROJECT["build-system"]["requires"]
EXTRAS = PROJECT["project"]["optional-dependencies"]
# The name a package is imported by, where it is not the name it is installed by.
IMPORTED_AS = {
    "import-linter": "importlinter",
    "pillow": "PIL",
    "scikit-sundae": "sksundae",
    "tree-sitter": "tree_sitter",
    "tree-sitter-toml": "tree_sitter_toml",
    "vl-convert-python": "vl_convert",
}


def pins(path: Path) -> list[tuple[Requirement, int]]:
    """Each pinned requirement of a lock with the number of its hashes."""
    joined = path.read_text(encoding="utf-8").replace("\\\n", " ")
    found = []
    for line in joined.splitlines():
        if line.strip() and not line.lstrip().startswith("#"):
            told, *hashes = line.split("--hash=")
            assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", each.strip()) for each in hashes), line
            found.append((Requirement(told.strip()), len(hashes)))
    return found


def pinned_here(path: Path) -> dict[str, Version]:
    """The versions a lock installs on this machine."""
    found: dict[str, Version] = {}
    for requirement, _ in pins(path):
        if requirement.marker is None or requirement.marker.evaluate():
            (pin,) = requirement.specifier
            found[canonicalize_name(requirement.name)] = Version(pin.version)
    return found


def wanted(*extras: str) -> list[Requirement]:
    """What pyproject.toml asks for, extras of our own resolved."""
    told = [Requirement(each) for each in PROJECT["project"]["dependencies"]]
    for extra in extras:
        for each in map(Requirement, EXTRAS[extra]):
            told += wanted(*each.extras) if each.name == "watervane" else [each]
    return told


@pytest.mark.parametrize("path", LOCKS, ids=lambda path: path.name)
def test_every_pin_is_exact_and_hashed(path: Path) -> None:
    loose = [
        str(requirement)
        for requirement, hashes in pins(path)
        if hashes == 0 or [each.operator for each in requirement.specifier] != ["=="]
    ]
    assert loose == []


@pytest.mark.parametrize("path", LOCKS, ids=lambda path: path.name)
def test_a_lock_names_no_registry(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    found = re.findall(r"\S*://\S*|(?m:^\s*--?(?:index|extra|find|trusted|i|f)\S*.*$)", text)
    assert found == []


@pytest.mark.parametrize(
    ("path", "extras"), [(RUN_TIME, ("build",)), (DEVELOPMENT, ("dev",))], ids=["run", "dev"]
)
def test_a_lock_holds_what_the_project_asks_for(path: Path, extras: tuple[str, ...]) -> None:
    held = pinned_here(path)
    unmet = [
        str(asked)
        for asked in wanted(*extras)
        if canonicalize_name(asked.name) not in held
        or held[canonicalize_name(asked.name)] not in asked.specifier
    ]
    assert unmet == [], "run `make locks`"


def test_the_development_lock_holds_the_run_time_one() -> None:
    development = pinned_here(DEVELOPMENT)
    differing = {
        name: (str(version), str(development.get(name)))
        for name, version in pinned_here(RUN_TIME).items()
        if development.get(name) != version
    }
    assert differing == {}


def test_building_needs_only_what_is_locked() -> None:
    assert EXTRAS["build"] == BUILD
    for asked in map(Requirement, BUILD):
        assert [each.operator for each in asked.specifier] == ["=="]
        for path in LOCKS:
            assert pinned_here(path)[canonicalize_name(asked.name)] in asked.specifier


def test_the_program_imports_only_what_it_declares() -> None:
    declared = {
        IMPORTED_AS.get(canonicalize_name(each.name), each.name) for each in wanted()
    } | set(sys.stdlib_module_names)
    undeclared = []
    for path in python_files(ROOT / "src"):
        for node in ast.walk(parsed(path)):
            if isinstance(node, ast.Import):
                names = [each.name for each in node.names]
            elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
                names = [node.module]
            else:
                continue
            undeclared += [
                f"{place(path, node.lineno)}: {name}"
                for name in names
                if name.split(".")[0] not in {*declared, "watervane"}
            ]
    assert undeclared == []


def test_no_other_lock_is_kept() -> None:
    """Such files carry the address of the registry they were made from."""
    strays = {"uv.lock", "poetry.lock", "Pipfile.lock", "pdm.lock"}
    assert [path for path in kept_files() if path.name in strays] == []
