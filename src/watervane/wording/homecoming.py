"""A bag on its way home, in plain sentences: what is in it, then the work in order."""

from __future__ import annotations

from watervane.records import Homecoming, NumberQuantiles
from watervane.wording.amounts import acidity, concentration, out_of_twenty
from watervane.wording.templates import finding_text, phrase

WORTH_TELLING = 0.05


def homecoming_title(home: Homecoming) -> str:
    """Whose bag it is."""
    trip = home.trip
    told = {"hours": f"{trip.hours:g}", "water": f"{trip.water_l:g}"}
    return phrase("bring-title", count=trip.count, species=trip.species, **told)


def homecoming_sentences(home: Homecoming) -> list[str]:
    """What the bag's water becomes, shut and opened."""
    bag = home.arriving
    told = {
        "oxygen": _range(bag["oxygen_mg_per_l"]),
        "co2": _range(bag["co2_mg_per_l"]),
        "ph": _range(bag["ph"], ph=True),
        "ammonia": _range(bag["ammonia_mg_n_per_l"]),
        "free": _range(bag["free_ammonia_mg_n_per_l"]),
    }
    sentences = [phrase("bring-arriving", **told), phrase("bring-ranges")]
    short = home.chances["short-of-oxygen"]
    if short > WORTH_TELLING:
        sentences.append(phrase("bring-oxygen-chance", share=out_of_twenty(short)))
    free, minutes = _range(home.dripping), f"{home.drip_minutes:g}"
    sentences.append(phrase("bring-dripped", minutes=minutes, free=free))
    over = home.chances["ammonia-when-dripped"]
    if over > WORTH_TELLING:
        sentences.append(phrase("bring-dripped-over", share=out_of_twenty(over)))
    return sentences


def homecoming_steps(home: Homecoming) -> list[str]:
    """The work, numbered."""
    return [
        phrase("bring-number", number=number, text=finding_text(finding))
        for number, finding in enumerate(home.advice, 1)
    ]


def _range(told: NumberQuantiles, *, ph: bool = False) -> str:
    write = acidity if ph else concentration
    middle, low, high = (
        "unknown" if value is None else write(value) for value in (told.p50, told.p05, told.p95)
    )
    return phrase("bring-range", middle=middle, low=low, high=high)
