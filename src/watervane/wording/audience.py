"""Where a sentence is read: on a page, whose reader has seen no command, or elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_ON_PAGE: ContextVar[bool] = ContextVar("whether sentences are read on a page", default=False)


def read_on_page() -> bool:
    """Whether sentences made just now are read on a page."""
    return _ON_PAGE.get()


@contextmanager
def on_page() -> Iterator[None]:
    """Sentences made in the block are read on a page."""
    before = _ON_PAGE.set(True)
    try:
        yield
    finally:
        _ON_PAGE.reset(before)
