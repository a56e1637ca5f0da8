"""Progress of long work on stderr: a bar on a terminal, plain lines elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from watervane.app.ports import Progress


@contextmanager
def shown_progress(*, silent: bool) -> Iterator[Progress | None]:
    """A progress callback for the length of the block; ``None`` when silent."""
    if silent:
        yield None
    elif sys.stderr.isatty():
        with _bar() as progress:
            yield progress
    else:
        yield _lines()


def _lines() -> Progress:
    from watervane.wording import phrase

    seen: set[str] = set()

    def progress(stage: str, share: float) -> None:  # noqa: ARG001 - a line needs no share
        if stage not in seen:
            seen.add(stage)
            print(phrase(f"stage-{stage}"), file=sys.stderr, flush=True)

    return progress


@contextmanager
def _bar() -> Iterator[Progress]:
    from rich.console import Console
    from rich.progress import BarColumn, TaskProgressColumn, TextColumn
    from rich.progress import Progress as Bars

    from watervane.wording import phrase

    columns = (TextColumn("{task.description}"), BarColumn(30), TaskProgressColumn())
    with Bars(*columns, console=Console(stderr=True), transient=True) as bars:
        task = bars.add_task("", total=1.0)

        def progress(stage: str, share: float) -> None:
            bars.update(task, description=phrase(f"stage-{stage}"), completed=min(share, 1.0))

        yield progress
