"""The one error this floor raises."""

from __future__ import annotations

_SHOWN_LENGTH = 40


def shown(text: object) -> str:
    """Short printable form of what was read, for messages."""
    printable = "".join(c if c.isprintable() else "?" for c in str(text)[: _SHOWN_LENGTH + 1])
    return printable[:_SHOWN_LENGTH] + "..." if len(printable) > _SHOWN_LENGTH else printable


class UnitError(ValueError):
    """A text that is not a quantity this program reads.

    Parameters
    ----------
    key : str
        Message key, such as ``"unit.unknown"``.
    message : str
        Plain sentence: what was read and what to write instead.
    **arguments : object
        Values the message was built from, for translation.
    """

    def __init__(self, key: str, message: str, **arguments: object) -> None:
        super().__init__(message)
        self.key = key
        self.arguments: dict[str, object] = arguments
