"""Whatever goes wrong ends in one clear message and a documented exit code."""

from __future__ import annotations

import os
import shutil
import signal
import sys
import textwrap
import traceback
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

import typer

from watervane.cli.exit_codes import BAD_INPUT, INTERNAL_FAILURE, INTERRUPTED

if TYPE_CHECKING:
    from watervane.app import BadInput

MOST_COLUMNS, LEAST_COLUMNS = 100, 20
SHOW_CURSOR = "\x1b[?25h"
STOPPED = "Stopped.\n"
TRACEBACK_SWITCH = "WATERVANE_TRACEBACK"


def guarded(work: Callable[[], int]) -> None:
    """Run a command's work and leave with its exit code."""
    from watervane.app import BadInput

    try:
        code = work()
    except BadInput as error:
        print_problems(error)
        code = BAD_INPUT
    except KeyboardInterrupt:
        sys.stderr.write(STOPPED)
        code = INTERRUPTED
    except BrokenPipeError:
        raise  # the reader of a pipe has left; typer ends quietly
    except Exception as error:  # noqa: BLE001 - the last line of defence
        if os.environ.get(TRACEBACK_SWITCH):
            traceback.print_exc()
        print(internal_failure(error), file=sys.stderr)
        code = INTERNAL_FAILURE
    raise typer.Exit(code)


def stop_at_once_when_interrupted() -> None:
    """Leave on Ctrl-C without waiting for the engine's threads, which may take a minute.

    Nothing is lost by it: files are written whole, at the end.
    """

    def stop(_signal: int, _frame: FrameType | None) -> None:
        if sys.stderr.isatty():
            sys.stderr.write(f"{SHOW_CURSOR}\n")  # a progress bar hides it, ^C stands in the way
        sys.stderr.write(STOPPED)
        sys.stderr.flush()
        os._exit(INTERRUPTED)

    signal.signal(signal.SIGINT, stop)


def print_problems(error: BadInput) -> None:
    """Every problem on stderr, each with its line."""
    from watervane.wording import finding_line, phrase

    problems = sorted(error.problems, key=lambda problem: problem.line or 0)
    alone = len(problems) == 1 and problems[0].key.startswith("file-missing")
    if alone or (error.source is None and len(problems) == 1):
        print(wrapped(finding_line(problems[0])), file=sys.stderr)
        return
    key = "problems-one" if len(problems) == 1 else "problems-many"
    told = error.source or "The request"
    print(wrapped(phrase(key, file=told, count=len(problems))), file=sys.stderr)
    for problem in problems:
        print(wrapped(finding_line(problem), "  "), file=sys.stderr)


def wrapped(text: str, indent: str = "", columns: int | None = None) -> str:
    """A message wrapped at words for a terminal, later lines indented; for a file as it is.

    Parameters
    ----------
    text
        One paragraph.
    indent
        Before its first line; later ones stand two columns further in.
    columns
        Of the terminal; left out, those of the one that stands behind standard error, if any.
    """
    if columns is None:
        if not sys.stderr.isatty():
            return f"{indent}{text}"
        columns = min(shutil.get_terminal_size().columns, MOST_COLUMNS)
    return textwrap.fill(
        text,
        max(columns, LEAST_COLUMNS),
        initial_indent=indent,
        subsequent_indent=f"{indent}  ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def internal_failure(error: Exception) -> str:
    """One line: what failed, where, and how to report it."""
    from watervane import __version__
    from watervane.wording import phrase

    frames = traceback.extract_tb(error.__traceback__)
    own = [frame for frame in frames if "watervane" in Path(frame.filename).parts] or frames
    where = f"{Path(own[-1].filename).name}, line {own[-1].lineno}" if own else "no place"
    what = " ".join(f"{type(error).__name__}: {error}".split())[:300]
    return phrase("internal-failure", what=what, where=where, version=__version__)
