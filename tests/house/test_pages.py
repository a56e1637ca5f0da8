"""Pages lead somewhere, and no file holds an address we do not stand for."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from source_tree import ROOT, kept_files, kept_texts

PAGES = [path for path in kept_files() if path.suffix == ".md" and "tests" not in path.parts]
LINK = re.compile(r"\]\(([^)\s]+)\)")
ADDRESS = re.compile(r"\b[a-z][a-z+.-]*://(?P<host>[\w.-]+)", re.IGNORECASE)
# Standards, licences, DOIs and the loopback. Keepers' logs, packages and pictures are named without
# address.
KNOWN_HOSTS = {
    "127.0.0.1",
    "creativecommons.org",
    "doi.org",
    "evil.example",  # who tries to get in, in tests; RFC 2606 keeps the name free
    "example.org",
    "json-schema.org",
    "localhost",
    "tanks.example.org",  # a keeper's own proxy
    "scripts.sil.org",
    "toml.io",
    "vega.github.io",
    "www.adobe.com",  # in the licence of the letters, which is kept word for word
    "www.apache.org",
    "www.w3.org",
}
# Places of a journal as we write them for example: a name that is nobody's.
DATABASES = re.compile(r"(?:postgres(?:ql)?|mysql)://(?:NAME|me|someone|postgres|\.\.\.)$")


def dead_links(page: Path) -> list[str]:
    """Links of a page that lead to no file."""
    targets = LINK.findall(page.read_text(encoding="utf-8"))
    return [
        target
        for target in targets
        if not ADDRESS.match(target)
        and not target.startswith("#")
        and not (page.parent / target.split("#")[0]).exists()
    ]


def strange_addresses(text: str) -> list[str]:
    """Addresses whose host is not one of the few we know."""
    return [
        match[0]
        for match in ADDRESS.finditer(text)
        if match["host"] not in KNOWN_HOSTS and not DATABASES.match(match[0])
    ]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_lead_somewhere(page: Path) -> None:
    assert dead_links(page) == []


def test_every_page_of_docs_is_listed() -> None:
    listed = LINK.findall((ROOT / "docs" / "README.md").read_text(encoding="utf-8"))
    pages = [path.name for path in PAGES if path.parent == ROOT / "docs"]
    assert sorted(set(pages) - {"README.md"} - set(listed)) == []


def test_no_file_holds_a_strange_address() -> None:
    texts = kept_texts()
    assert len(texts) > 100
    found = {name: strange_addresses(text) for name, text in texts.items()}
    assert {name: addresses for name, addresses in found.items() if addresses} == {}


def test_no_kept_log_tells_where_it_was_read() -> None:
    told = [
        name
        for name, text in kept_texts().items()
        if name.endswith(".toml") and re.search(r"^\s*(address|url|link)\s*=", text, re.MULTILINE)
    ]
    assert told == []


def test_a_strange_address_is_noticed(tmp_path: Path) -> None:
    slashes = ":" + "//"
    text = f"https{slashes}doi.org/10 and https{slashes}logs.example/thread, index{slashes}x"
    assert len(strange_addresses(text)) == 2
    page = tmp_path / "page.md"
    page.write_text("[a](page.md) [b](gone.md) [c](#here) [d](page.md#there)", encoding="utf-8")
    assert dead_links(page) == ["gone.md"]
