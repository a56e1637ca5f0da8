"""What README and docs tell to type does what it should: every code block is run or read."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from source_tree import PACKAGE, ROOT, kept_files
from typer.testing import CliRunner

from watervane.bootstrap import real_ports
from watervane.cli.program import program

PAGES = [path for path in kept_files() if path.suffix == ".md" and "tests" not in path.parts]
FENCE = re.compile(
    r"^(?P<indent> *)```(?P<language>\S*)[^\n]*\n(?P<text>.*?)^ *```$", re.MULTILINE | re.DOTALL
)
NOT_RUN = re.compile(r"# not run: \w")
EXIT_CODE = re.compile(r"# exit (\d+)\b")
LONG_PAGES = tuple(f"docs/{page}.md" for page in ("animals", "blueprint", "care", "cli", "journal"))
TARGET = re.compile(r"^make ([a-z-]+)$")


@dataclass(frozen=True)
class Block:
    """One fenced block of a page."""

    page: str
    line: int
    language: str
    text: str


def blocks_of(text: str, page: str) -> list[Block]:
    """The fenced blocks of a page, indented ones taken to the margin."""
    found = []
    for match in FENCE.finditer(text):
        indent = match["indent"]
        lines = [line.removeprefix(indent) for line in match["text"].splitlines()]
        line = text.count("\n", 0, match.start()) + 1
        found.append(Block(page, line, match["language"], "\n".join(lines)))
    return found


BLOCKS = [
    block
    for path in PAGES
    for block in blocks_of(path.read_text(encoding="utf-8"), path.relative_to(ROOT).as_posix())
]


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """A folder with what a reader has at hand: the examples and the demo's tank file."""
    if (ROOT / "examples").is_dir():
        shutil.copytree(ROOT / "examples", tmp_path / "examples")
    for file in (PACKAGE / "cli" / "demo_data").glob("*.tank.toml"):
        shutil.copy(file, tmp_path)
    return tmp_path


def run(arguments: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    """Run with our own commands first on the path."""
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    return subprocess.run(
        arguments,
        cwd=folder,
        env={**os.environ, "PATH": path, "WATERVANE_JOURNAL": str(folder / "journal.sqlite")},
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


def shell_breaches(block: Block, folder: Path) -> list[str]:
    """Lines that do not do what they should."""
    found = []
    for number, line in enumerate(block.text.splitlines(), start=block.line + 1):
        place = f"{block.page}:{number}: {line}"
        target = TARGET.match(line.split(" #")[0].strip())
        if target and f"\n{target[1]}:" not in (ROOT / "Makefile").read_text(encoding="utf-8"):
            found.append(f"{place}: no such target")
        if not line.startswith("watervane ") or NOT_RUN.search(line):
            continue
        told = EXIT_CODE.search(line)
        done = run(["sh", "-c", line], folder)
        if done.returncode != (int(told[1]) if told else 0):
            found.append(f"{place}: exit code {done.returncode}\n{done.stdout}{done.stderr}")
    return found


def toml_breaches(block: Block, folder: Path) -> list[str]:
    """What the parser says, and for a whole tank file what the check says."""
    try:
        tomllib.loads(block.text)
    except tomllib.TOMLDecodeError as error:
        return [f"{block.page}:{block.line}: {error}"]
    if not block.text.startswith("format ="):
        return []
    file = folder / "written.tank.toml"
    file.write_text(block.text, encoding="utf-8")
    done = CliRunner().invoke(program, ["check", str(file)], obj=real_ports)
    return [f"{block.page}:{block.line}: {done.output}"] if done.exit_code else []


def python_breaches(block: Block, folder: Path) -> list[str]:
    """The traceback, where running it leaves one."""
    done = run([sys.executable, "-W", "error", "-c", block.text], folder)
    return [f"{block.page}:{block.line}: {done.stderr}"] if done.returncode else []


def json_breaches(block: Block, _: Path) -> list[str]:
    """What the parser says."""
    try:
        json.loads(block.text)
    except json.JSONDecodeError as error:
        return [f"{block.page}:{block.line}: {error}"]
    return []


def no_breaches(_: Block, __: Path) -> list[str]:
    """Plain text promises nothing."""
    return []


CHECKS: dict[str, Callable[[Block, Path], list[str]]] = {
    "sh": shell_breaches,
    "toml": toml_breaches,
    "python": python_breaches,
    "json": json_breaches,
    "text": no_breaches,
}


def test_every_block_names_its_language() -> None:
    unnamed = [f"{b.page}:{b.line}: {b.language!r}" for b in BLOCKS if b.language not in CHECKS]
    assert unnamed == [], f"write one of {', '.join(CHECKS)} after the three backticks"


def test_fences_are_all_read() -> None:
    texts = {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in PAGES}
    fences = {page: len(re.findall(r"^ *```", text, re.MULTILINE)) for page, text in texts.items()}
    assert {page: 2 * sum(block.page == page for block in BLOCKS) for page in fences} == fences


def marked(block: Block) -> Any:
    """A block that works for minutes with a journal or a model is run with the slow tests."""
    slow = block.page in LONG_PAGES and block.language == "sh"
    name = f"{block.page}:{block.line}"
    return pytest.param(block, id=name, marks=[pytest.mark.slow] if slow else [])


@pytest.mark.parametrize("block", [marked(block) for block in BLOCKS])
def test_a_block_does_what_it_promises(block: Block, desk: Path) -> None:
    assert CHECKS[block.language](block, desk) == []


def test_a_wrong_line_is_noticed(desk: Path) -> None:
    page = (
        "Text.\n```sh\nwatervane check nowhere.tank.toml\nmake unheard-of\n"
        "watervane check nowhere.tank.toml  # exit 2\n"
        "watervane check nowhere.tank.toml  # not run: shows what not to do\n"
        "watervane --version\nmake test\n```\n"
    )
    (block,) = blocks_of(page, "planted.md")
    found = shell_breaches(block, desk)
    assert [each.split(": ")[0] for each in found] == ["planted.md:3", "planted.md:4"]


@pytest.mark.parametrize(
    "page",
    [
        '```toml\nformat = "watervane-tank/1"\n[tank]\nname = "No date"\n```\n',
        "```toml\nname = \n```\n",
        "```python\nraise SystemExit(3)\n```\n",
        "  ```json\n  {1: 2}\n  ```\n",
    ],
)
def test_a_wrong_block_is_noticed(page: str, desk: Path) -> None:
    (block,) = blocks_of(page, "planted.md")
    (breach,) = CHECKS[block.language](block, desk)
    assert breach.startswith("planted.md:1: ")
