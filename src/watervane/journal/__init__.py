"""The journal: what keepers wrote, kept for good in SQLite or PostgreSQL."""

from watervane.journal.alone import alone
from watervane.journal.backup import apart, back_up, restore
from watervane.journal.copying import Contents
from watervane.journal.look_over import examined
from watervane.journal.photos import photo_from
from watervane.journal.places import Place, place_of, usual_place
from watervane.journal.store import Journal
from watervane.journal.troubles import JournalTrouble

__all__ = [
    "Contents",
    "Journal",
    "JournalTrouble",
    "Place",
    "alone",
    "apart",
    "back_up",
    "examined",
    "photo_from",
    "place_of",
    "restore",
    "usual_place",
]
