"""The journal: what keepers wrote, kept for good in SQLite or PostgreSQL."""

from watervane.journal.places import Place, place_of, usual_place
from watervane.journal.store import Journal
from watervane.journal.troubles import JournalTrouble

__all__ = ["Journal", "JournalTrouble", "Place", "place_of", "usual_place"]
