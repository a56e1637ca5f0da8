"""The command line: parse, call one use case, print."""

from watervane.cli.program import run

__all__ = ["run"]
