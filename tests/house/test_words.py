"""Words we never use, and traces of a single machine that must not be kept."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from source_tree import PACKAGE, ROOT, kept_files, place

# What a keeper may read: sentences, pages, help, docs.
SPOKEN = [
    path
    for path in kept_files()
    if path.suffix in {".toml", ".html", ".md"}
    and (path.is_relative_to(PACKAGE / "wording") or path.is_relative_to(PACKAGE / "charts")
         or path.is_relative_to(ROOT / "docs") or path == ROOT / "README.md")
]  # fmt: skip
NEVER_SAID = {
    # A tank is never called safe: at best nothing measured points to harm.
    r"\b(?:is|are|now|be|perfectly|completely|totally) safe\b": "never 'safe'",
    r"\b(?:completely|fully|perfectly) cycled\b": "say 'settled'",
    r"\bpercent stocked\b|% stocked\b": "no stocking meter",
    r"\b(?:achievement|badge|streak|leaderboard|mascot|level up)s?\b": "an instrument, not a game",
    r"\b(?:AI|artificial intelligence|machine learning)\b": "say what is computed",
    r"\bguarantee[ds]?\b": "nothing is guaranteed",
}
TRACES = {
    r"(?<![\w./])/(?:home|root|Users|mnt|opt)/\w": "a path of one machine",
    r"\bfile:///": "a path of one machine",
    r"--(?:extra-)?index-url|--find-links|--trusted-host": "the address of a registry",
}
TEXT = {".cfg", ".css", ".csv", ".html", ".js", ".json", ".lock", ".md", ".py", ".toml", ".txt",
        ".yaml", ".yml", ""}  # fmt: skip


def found_in(text: str, forbidden: dict[str, str]) -> list[tuple[int, str]]:
    """Line and reason of each forbidden word of a text."""
    return [
        (number, f"{match.group(0)!r}: {reason}")
        for number, line in enumerate(text.splitlines(), start=1)
        for pattern, reason in forbidden.items()
        for match in re.finditer(pattern, line, re.IGNORECASE if "AI" not in pattern else 0)
    ]


def test_there_is_something_to_read() -> None:
    assert len(SPOKEN) >= 3


@pytest.mark.parametrize("path", SPOKEN, ids=lambda path: str(path.relative_to(ROOT)))
def test_what_a_keeper_reads_uses_none_of_these_words(path: Path) -> None:
    said = found_in(path.read_text(encoding="utf-8"), NEVER_SAID)
    assert [f"{place(path, number)} {told}" for number, told in said] == []


@pytest.mark.parametrize(
    "path",
    [
        path
        for path in kept_files()
        if path.suffix in TEXT and path != Path(__file__) and path.name != "LICENSE"
    ],
    ids=lambda path: str(path.relative_to(ROOT)),
)
def test_no_file_carries_a_trace_of_one_machine(path: Path) -> None:
    text = path.read_text(encoding="utf-8", errors="strict")
    assert [f"{place(path, number)} {told}" for number, told in found_in(text, TRACES)] == []


@pytest.mark.parametrize(
    "text",
    ["The water is safe.", "Your tank is fully cycled", "You are 80 % stocked", "An AI says so"],
)
def test_a_forbidden_word_is_found(text: str) -> None:
    assert len(found_in(text, NEVER_SAID)) == 1


def test_a_trace_is_found() -> None:
    assert len(found_in("see /home/someone/x and pip install --index-url y", TRACES)) == 2
    assert found_in("a/home/page and https://example.org/root/x", TRACES) == []
