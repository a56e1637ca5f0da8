"""The list of commands: what a keeper needs first comes first, and nothing is left out or cut."""

from __future__ import annotations

import re

import pytest
from fake_ports import FakePorts
from test_commands import call
from typer.core import TyperGroup
from typer.main import get_command

import watervane.cli  # noqa: F401 - adds every command
from watervane.cli.guard import wrapped
from watervane.cli.help_order import GROUPS, MEANT, grouped
from watervane.cli.program import program


def names() -> set[str]:
    command = get_command(program)
    assert isinstance(command, TyperGroup)
    return set(command.commands)


@pytest.mark.slow
def test_today_comes_first_and_every_command_once() -> None:
    out = call(FakePorts(), "--help").out
    listed = re.findall(r"^  (\S+)", out[out.index(GROUPS[0][0]) :], re.MULTILINE)
    found = [word for word in listed if word in names()]
    assert found[0] == "today"
    assert sorted(found) == sorted(names())


def test_groups_name_commands_there_are_and_none_twice() -> None:
    told = [name for _, group in GROUPS for name in group]
    assert len(told) == len(set(told))
    assert set(told) <= names()
    assert set(MEANT.values()) <= names()
    assert not MEANT.keys() & names()


def test_a_command_no_group_knows_is_listed_last() -> None:
    assert list(grouped(["today", "brand-new"]))[-1] == ("More", ["brand-new"])


@pytest.mark.parametrize("columns", [40, 60, 80])
@pytest.mark.parametrize("command", [(), ("today",), ("rehearse",)])
def test_help_fits_the_terminal_and_cuts_no_sentence(
    columns: int, command: tuple[str, ...]
) -> None:
    out = call(FakePorts(), *command, "--help", columns=columns).out
    assert max(map(len, out.splitlines())) <= columns
    assert "..." not in out.replace("[ARGS]...", "").replace("[OPTIONS]...", "")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("tody", "today"), ("what_if", "rehearse"), ("emergency", "first-aid"), ("status", "today")],
)
def test_another_word_for_a_command_leads_to_it(typed: str, meant: str) -> None:
    result = call(FakePorts(), typed)
    assert result.code == 2
    assert f"Did you mean '{meant}'?" in result.err


@pytest.mark.parametrize("columns", [24, 40, 80])
def test_problems_are_wrapped_at_words_for_a_terminal(columns: int) -> None:
    text = "line 3: The kind of event 'dance' is not known. Did you mean 'outage'?"
    lines = wrapped(text, "  ", columns).splitlines()
    assert max(map(len, lines)) <= columns
    assert all(line.startswith("    ") for line in lines[1:])
    assert " ".join(" ".join(lines).split()) == text
    assert wrapped(text, "  ") == f"  {text}", "a file gets one line"
