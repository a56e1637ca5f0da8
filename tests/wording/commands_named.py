"""How a sentence names what only a terminal or a file has: commands, options, keys."""

from __future__ import annotations

import re

from watervane.cli.help_order import GROUPS

COMMANDS = {name for _, names in GROUPS for name in names}
_COMMAND = re.compile(r"\bwatervane ([a-z][a-z-]+)")
_OTHERS = re.compile(
    r"(?P<option>(?<![\w-])--[a-z][a-z-]*)"
    r"|(?P<table>\[\[?[a-z_]+(?:\.[\w]+)?\])"
    r"|(?P<key>\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b)"
    r"|(?P<assigned>\b[a-z]+ ?= ?[\"'])"
    r"|(?P<make>\bmake (?:demo|test|lint)\b)"
    r"|(?P<more>[Aa]sk for more days)"
    r"|(?P<event>\b(?:feed|animals-in|water-change|top-off) events?\b)"
)


def named(text: str) -> list[str]:
    """Every command, option and key that a text names."""
    commands = [f"watervane {found}" for found in _COMMAND.findall(text) if found in COMMANDS]
    return commands + [found[0] for found in _OTHERS.finditer(text)]
