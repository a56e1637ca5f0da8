"""What names a command, an option or a key has another form for pages, or never gets there."""

from __future__ import annotations

import re
import string

import pytest
from commands_named import named

from watervane.records import Finding, ToldLimit
from watervane.wording import finding_text, phrase
from watervane.wording.audience import on_page
from watervane.wording.templates import FILES, page_templates, templates
from watervane.wording.watched import of_limit

# Said only on a terminal, or of files by those who have them before their eyes. What is new and
# names a command comes here, or gets its form in on_pages.toml.
OF_FILES = ("problems.toml", "exchange.toml", "journal.toml")
ON_TERMINALS = (
    "animal-cell-",
    "animals-",
    "at-",
    "blueprint-page-file",
    "blueprint-sizes",
    "blueprint-steps-later",
    "blueprint-steps-run",
    "blueprint-written",
    "choose-no-wish",
    "club-once",
    "demo-",
    "equipment-",
    "every-",
    "file-argument",
    "forecast-more",
    "form-equipment-",
    "headroom-length-alone",
    "internal-failure",
    "kept-of-",
    "limit-too-wide",
    "none-kept",
    "quick-",
    "reading-still",
    "resettle-",
    "round-refresh",
    "serve-port-",
    "setup-no-file",
    "share-",
    "stored-",
    "trouble-fit-",
    "verdict-as-of-last",
    "watch-of-a-file",
    "water-file-",
    "worker-dies",
    "wrote",
)


def fields(template: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(template) if name}


def bare(template: str) -> str:
    """A template without the names of its arguments."""
    return re.sub(r"\{[^}]*\}", "X", template)


@pytest.mark.parametrize("key", sorted(page_templates()))
def test_a_form_for_pages_names_nothing_of_a_terminal(key: str) -> None:
    assert key in templates()
    assert named(bare(page_templates()[key])) == []
    assert fields(page_templates()[key]) <= fields(templates()[key])


def test_all_else_that_names_a_command_is_known_to_stay_off_pages() -> None:
    told = {name: {*_keys(name)} for name in FILES}
    elsewhere = {key for name in OF_FILES for key in told[name]}
    open_ = [
        f"{key}: {template}"
        for key, template in templates().items()
        if named(bare(template))
        and key not in page_templates()
        and key not in elsewhere
        and not key.startswith(ON_TERMINALS)
    ]
    assert open_ == []


def test_a_sentence_that_names_one_would_be_noticed() -> None:
    assert named("Write bed under [tank].") == ["[tank]"]
    assert named("Run watervane today, or tell --animals and normal_food.") == [
        "watervane today", "--animals", "normal_food",
    ]  # fmt: skip
    assert named("Watervane runs many tanks; 3 to 5 mg/L as N, not more.") == []


def test_terminals_keep_their_form() -> None:
    told = Finding("assumed-bed", "note", {})
    assert "[tank]" in finding_text(told)
    with on_page():
        assert "[tank]" not in finding_text(told)
        assert "bed is not told" in finding_text(told)
        assert phrase("basis-n") == templates()["basis-n"]
    assert "[tank]" in finding_text(told)


def test_sources_are_told_by_their_authors_on_pages() -> None:
    def origin(source: str, quality: str) -> str:
        limit = ToldLimit(
            key="k", tier="comfort", subject="ph", quantity="ph", side="above", level=8.0,
            hours=24.0, group="all", animals=(), source=source, where="table 2", quality=quality,
        )  # fmt: skip
        return of_limit(limit).origin

    assert origin("bc_nitrite", "from memory") == "from memory of bc_nitrite, table 2"
    with on_page():
        told = origin("bc_nitrite", "from memory")
        assert told == "from memory of British Columbia Ministry of Environment (1986), table 2"
        assert "what is known of the species" in origin("zoology_memory", "from memory")
        assert origin("house-estimate", "guess") == "our own estimate, no source, table 2"


def _keys(file: str) -> list[str]:
    import tomllib
    from importlib import resources

    text = resources.files("watervane.wording").joinpath(file).read_text(encoding="utf-8")
    return list(tomllib.loads(text))
