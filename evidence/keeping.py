"""Long runs are kept as they are found, with a digest of the sources they rest on."""

from __future__ import annotations

import ast
import hashlib
import json
import multiprocessing
import sys
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "out" / "evidence"
SHIPPED = ROOT / "evidence" / "kept"  # runs that take hours, kept with the sources
PACKAGE = ROOT / "src" / "watervane"
T = TypeVar("T")


@dataclass(frozen=True)
class Kept:
    """Runs of one kind, one a line of a file.

    Parameters
    ----------
    name
        Of the file.
    code
        Digest of what new runs rest on.
    folder
        Of the file; one of the repository for runs that take hours, so that they go on elsewhere.
    """

    name: str
    code: str
    folder: Path | None = None

    @property
    def path(self) -> Path:
        """Of the file."""
        return (self.folder or OUT) / f"{self.name}.jsonl"

    def found(self) -> dict[str, Any]:
        """What was found so far, by the key of the run."""
        return {str(row["key"]): row["found"] for row in self._rows()}

    def codes(self) -> Counter[str]:
        """How many runs were made under each digest of what they rest on."""
        return Counter(str(row["code"]) for row in self._rows())

    def aged(self) -> int:
        """Runs made before what they rest on last changed."""
        return sum(count for code, count in self.codes().items() if code != self.code)

    def note(self) -> str:
        """A sentence on aged runs, empty where there are none."""
        aged, total = self.aged(), len(self._rows())
        if not aged:
            return ""
        return (
            f"Of these {total} runs {aged} were made before the code they rest on last changed; "
            "`python -m evidence --anew` repeats them."
        )

    def complete(
        self, tasks: Mapping[str, T], work: Callable[[T], object], *, anew: bool, workers: int
    ) -> None:
        """Do what is not kept yet; what is found is written at once.

        Parameters
        ----------
        tasks
            By key.
        work
            Of another process; what it returns goes into JSON.
        anew
            Forget what was kept.
        workers
            Processes.
        """
        self.path.parent.mkdir(parents=True, exist_ok=True)
        if anew:
            self.path.unlink(missing_ok=True)
        done = self.found()
        todo = [(key, task, work) for key, task in tasks.items() if key not in done]
        context = multiprocessing.get_context("spawn")  # a fork after JAX has started would hang
        with context.Pool(workers) as pool, self.path.open("a", encoding="utf-8") as file:
            for number, (key, found) in enumerate(pool.imap_unordered(_do, todo), 1):
                file.write(json.dumps({"key": key, "code": self.code, "found": found}) + "\n")
                file.flush()
                sys.stderr.write(f"\r{self.name}: {number} of {len(todo)}")
        if todo:
            sys.stderr.write("\n")

    def _rows(self) -> list[dict[str, Any]]:
        if not self.path.exists():
            return []
        return [json.loads(line) for line in self.path.read_text(encoding="utf-8").splitlines()]


def digest(paths: Sequence[Path]) -> str:
    """Of Python sources, whatever their comments, docstrings and layout, and of tables as they are.

    Parameters
    ----------
    paths
        Files, and folders whose files are taken.
    """
    files = [f for p in paths for f in (sorted(p.rglob("*.py")) if p.is_dir() else [p])]
    told = hashlib.sha256()
    for file in files:
        if file.suffix != ".py":
            told.update(file.read_bytes())
            continue
        tree = ast.parse(file.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            body = getattr(node, "body", None)
            if isinstance(body, list) and body and _is_text(body[0]):
                body[0] = ast.Pass()
        told.update(ast.dump(tree).encode())
    return told.hexdigest()[:12]


def _is_text(node: ast.stmt) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _do(task: tuple[str, T, Callable[[T], object]]) -> tuple[str, object]:
    key, what, work = task
    return key, work(what)
