"""Shipped tables, one sourced value a row, and the sources behind them."""

from watervane.reference._sourced import Citation, SourcedFunction, sourced, sourced_functions

__all__ = ["Citation", "SourcedFunction", "sourced", "sourced_functions"]
