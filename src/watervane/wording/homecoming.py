"""A bag on its way home, in plain sentences: what is in it, then the work in order."""

from __future__ import annotations

from collections.abc import Callable

from watervane.records import Finding, Homecoming, NumberQuantiles, WaterGap
from watervane.wording.amounts import acidity, concentration, number, out_of_twenty
from watervane.wording.headroom import subject_words
from watervane.wording.templates import finding_text, phrase

WORTH_TELLING = 0.05
# The first step once they are home; whoever has them in the bag cannot choose others any more.
AT_HOME = ("bring-float", "bring-no-float", "bring-open-now")
# How each quantity of a gap is written, and its unit.
GAPS: dict[str, tuple[Callable[[float], str], str]] = {
    "ph": (acidity, ""),
    "temperature_c": (lambda value: f"{value:.1f}", " °C"),
    "gh_dgh": (lambda value: f"{value:g}", " dGH"),
}


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
        "ph": _range(bag["ph"], acidity),
        "ammonia": _range(bag["ammonia_mg_n_per_l"]),
        "free": _range(bag["free_ammonia_mg_n_per_l"], _traces),
    }
    sentences = [phrase("bring-arriving", **told), phrase("bring-ranges")]
    short = home.chances["short-of-oxygen"]
    if short > WORTH_TELLING:
        sentences.append(phrase("bring-oxygen-chance", share=out_of_twenty(short)))
    free, minutes = _range(home.dripping, _traces), f"{home.drip_minutes:g}"
    sentences.append(phrase("bring-dripped", minutes=minutes, free=free))
    if home.bears_mg_n_per_l is not None:
        sentences.append(phrase("bring-bears", level=number(home.bears_mg_n_per_l)))
    over = home.chances["ammonia-when-dripped"]
    if over > WORTH_TELLING:
        sentences.append(phrase("bring-dripped-over", share=out_of_twenty(over)))
    origin = home.home_from.get("ammonia")
    if origin is not None:
        sentences.append(phrase(f"bring-tank-{origin}"))
    return sentences


def gap_sentences(home: Homecoming) -> list[str]:
    """How far the two waters lie apart, and what that means for fish and for shrimps."""
    return [_gap(gap) for gap in home.gaps]


def homecoming_steps(home: Homecoming) -> list[str]:
    """The work, numbered."""
    steps = [
        phrase("bring-number", number=number, text=_step(finding))
        for number, finding in enumerate(home.advice, 1)
    ]
    begun = next((n for n, each in enumerate(home.advice, 1) if each.key in AT_HOME), 1)
    return [phrase("bring-in-the-bag", number=begun), *steps] if begun > 1 else steps


def _step(finding: Finding) -> str:
    """A finding; of one about the tank's water what leads, on which side, and how sure it is."""
    told = finding.arguments
    if finding.key == "bring-warmth":  # a glance at the clock, no sum
        hours = max(float(str(told["hours"])), 1.0)
        return phrase(finding.key, **{**told, "hours": f"{hours:.0f}"})
    if "subject" not in told:
        return finding_text(finding)
    return phrase(
        finding.key,
        subject=subject_words(str(told["subject"])),
        side=phrase(f"bring-side-{told['side']}"),
        share=out_of_twenty(float(str(told["chance"]))),
    )


def _gap(gap: WaterGap) -> str:
    write, unit = GAPS[gap.quantity]
    name = gap.quantity.partition("_")[0]
    shop, tank = (_of_water(gap, whose, write, unit) for whose in ("shop", "tank"))
    parts = [phrase(f"bring-gap-{name}", shop=shop, tank=tank)]
    if gap.shop.p50 is not None and gap.home.p50 is not None:
        step = abs(gap.home.p50 - gap.shop.p50)
        wide = gap.strains is not None and step > gap.strains
        told = {"step": f"{write(step)}{unit}", "strains": f"{gap.strains or 0.0:g}{unit}"}
        if wide and told["step"] == told["strains"]:  # by less than is told
            told["step"] = f"{step:.2f}{unit}"
        step_told = phrase("bring-gap-wide" if wide else "bring-gap-small", **told)
        parts.append(phrase("bring-gap-likely", step=step_told) if gap.untold else step_told)
        if wide and gap.quantity == "temperature_c":
            parts.append(phrase("bring-gap-stand"))
    else:
        parts.append(phrase("bring-gap-unknown"))
    levels = {"strains": f"{gap.strains or 0.0:g}", "harms": f"{gap.harms or 0.0:g}"}
    return " ".join([*parts, phrase(f"bring-gap-{name}-means", **levels)])


def _of_water(gap: WaterGap, whose: str, write: Callable[[float], str], unit: str) -> str:
    told = gap.shop if whose == "shop" else gap.home
    if told.p50 is None or told.p05 is None or told.p95 is None:
        return phrase("bring-gap-untold")
    if whose not in gap.untold:
        return f"{write(told.p50)}{unit}"
    range_told = {"low": write(told.p05), "high": f"{write(told.p95)}{unit}"}
    return phrase("bring-gap-guessed", **range_told)


def _traces(value: float) -> str:
    """Free ammonia harms from hundredths of a milligram on."""
    return f"{value:.3f}" if value < 0.0995 else number(value)


def _range(told: NumberQuantiles, write: Callable[[float], str] = concentration) -> str:
    middle, low, high = (
        "unknown" if value is None else write(value) for value in (told.p50, told.p05, told.p95)
    )
    return phrase("bring-range", middle=middle, low=low, high=high)
