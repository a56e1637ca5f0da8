"""The records a parsed text becomes: the one place where this floor meets them."""

from watervane.records.readings import QUANTITY_UNITS, ReadingValue
from watervane.records.spans import Span

__all__ = ["QUANTITY_UNITS", "ReadingValue", "Span"]
