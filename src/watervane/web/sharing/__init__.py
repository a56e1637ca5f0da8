"""Pages for the phones of a house: names, certificates, pairing, and who is paired."""

from watervane.web.sharing.share import Share, SharedGate

__all__ = ["Share", "SharedGate"]
