"""From a keeper's words to what is asked of a quarantine."""

from __future__ import annotations

from watervane.exchange.dose_words import OptionReader
from watervane.exchange.problems import TankFileErrors
from watervane.exchange.word_reader import Words
from watervane.records.quarantine import QuarantineWish

USUAL = QuarantineWish(0.0, ())


def read_quarantine_words(words: Words) -> QuarantineWish:
    """A wish as told by options or fields.

    Parameters
    ----------
    words
        By option, without its dashes.

    Raises
    ------
    TankFileErrors
        With every option that cannot be read; ``field`` names it.
    """
    reader = OptionReader(words)
    volume = reader.number("volume", "volume")
    if reader.text("volume") is None:
        reader.refuse("dose-volume-missing", "volume", "")
    stock = reader.stocks()
    warmth = reader.number("temperature", "temperature")
    seeded = reader.number("seeded", "volume")
    food = reader.text("food")
    share = USUAL.food_share if food is None else reader.share("food", food)
    ph = reader.number("ph", "ph")
    if reader.problems and not stock and not reader.refused("animals"):
        reader.refuse("quarantine-nobody", "animals", "")  # told at once with all the rest
    if reader.problems or volume is None:
        raise TankFileErrors(reader.problems)
    return QuarantineWish(
        volume_l=volume,
        animals=tuple(stock),
        temperature_c=USUAL.temperature_c if warmth is None else warmth,
        warmth_told=warmth is not None,
        seeded_l=0.0 if seeded is None else seeded,
        medium=reader.text("medium") or USUAL.medium,
        food_share=share,
        treated=bool(reader.text("treated")),
        ph=ph,
    )
