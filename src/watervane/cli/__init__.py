"""The command line: parse, call one use case, print."""

import watervane.cli.caring
import watervane.cli.choosing
import watervane.cli.club
import watervane.cli.deciding
import watervane.cli.exchanging
import watervane.cli.growing
import watervane.cli.inside
import watervane.cli.keeping
import watervane.cli.listing
import watervane.cli.planning
import watervane.cli.resettling
import watervane.cli.rounds
import watervane.cli.serve  # noqa: F401 - adds its commands
from watervane.cli.program import run

__all__ = ["run"]
