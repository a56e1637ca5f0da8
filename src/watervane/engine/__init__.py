"""The engine: records in, records out."""

from watervane.engine.foretell import foretell

__all__ = ["foretell"]
