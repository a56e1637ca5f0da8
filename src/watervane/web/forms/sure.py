"""The one answer to what is asked about before it is kept."""

from __future__ import annotations

from collections.abc import Mapping

from watervane.app.doubting import Doubted
from watervane.web.forms.fields import Field
from watervane.wording import phrase

SURE = "sure-"


def sure_of(typed: Mapping[str, str]) -> str:
    """The token of the questions that were answered; empty where none were."""
    ticked = (name.removeprefix(SURE) for name, value in typed.items()
              if name.startswith(SURE) and value)  # fmt: skip
    return next(ticked, "")


def sure_field(doubted: Doubted) -> Field:
    """What to tick where it is so; another question needs another tick."""
    return Field(f"{SURE}{doubted.token}", "check", phrase("form-sure"))
