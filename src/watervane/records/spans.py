"""A quantity known only between two bounds."""

from watervane.units import Span

__all__ = ["Span"]
