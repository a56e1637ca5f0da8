"""Watervane foretells one tank's water and says how sure it is."""

__version__ = "0.1.0"
