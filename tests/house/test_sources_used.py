"""No source is listed that nothing rests on, unless it says why it is kept."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

import pytest
from source_tree import PACKAGE, ROOT

from watervane.reference import Source, sources

LIST = PACKAGE / "reference" / "data" / "sources.toml"
FOLDERS = ("src", "tests", "docs", "validation", "evidence", "benchmarks", "catalogue")
ENDINGS = (".py", ".csv", ".md", ".toml")


def texts() -> Iterable[str]:
    """Every text that may name a source, and the names of files called after one."""
    for folder in FOLDERS:
        for path in sorted((ROOT / folder).rglob("*")):
            if path.suffix in ENDINGS and path not in (LIST, Path(__file__)):
                yield path.stem
                yield path.read_text(encoding="utf-8")


def unnamed(listed: Mapping[str, Source], written: Iterable[str]) -> list[str]:
    """Keys of sources that no text names, no named source's note either, without a reason."""
    words: set[str] = set()
    for text in written:
        words.update(re.findall(r"[A-Za-z0-9_\-]+", text))
    named = {key for key in listed if key in words}
    behind = " ".join(listed[key].note for key in named)
    named |= {key for key in listed if key in re.findall(r"[A-Za-z0-9_\-]+", behind)}
    return sorted(key for key in listed if key not in named and not listed[key].background)


@pytest.fixture(scope="module")
def written() -> list[str]:
    return list(texts())


def test_every_source_is_named_or_says_why_it_is_kept(written: list[str]) -> None:
    assert unnamed(sources(), written) == []


def test_only_what_nothing_names_is_kept_as_background(written: list[str]) -> None:
    bare = {
        key: Source(key, found.title, found.how_read, note=found.note)
        for key, found in sources().items()
    }
    kept = {key for key, found in sources().items() if found.background}
    assert kept <= set(unnamed(bare, written))


def test_a_source_nobody_names_is_found() -> None:
    listed = {
        "used2020": Source("used2020", "T", "abstract", note="Read in behind1999."),
        "behind1999": Source("behind1999", "T", "secondary"),
        "idle2001": Source("idle2001", "T", "abstract"),
        "kept2002": Source("kept2002", "T", "abstract", background="Warns."),
    }
    assert unnamed(listed, ['sourced("used2020")', "idle2001x"]) == ["idle2001"]
