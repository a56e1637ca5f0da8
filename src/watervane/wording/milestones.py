"""Sentences about the dates a tank reaches."""

from __future__ import annotations

from datetime import datetime, timedelta

from watervane.records import (
    DateQuantiles,
    Forecast,
    Milestone,
    NumberQuantiles,
    Peak,
    SettledLevels,
)
from watervane.wording.amounts import out_of_twenty
from watervane.wording.dates import date_range, day_and_month, weekday_date
from watervane.wording.shown import both_bases, shown_species
from watervane.wording.templates import phrase, templates

RARE = 0.05

LONG_PAST = timedelta(days=365)


def peak_sentences(quantity: str, peak: Peak, forecast: Forecast, basis: str) -> list[str]:
    """When and how high ammonia or nitrite peaks; of a peak long past nothing is said."""
    name = quantity.capitalize()
    if peak.date.p50 is not None and peak.date.p50 < forecast.as_of - LONG_PAST:
        return []
    if peak.probability_exists < RARE:
        return [phrase("peak-none", name=name)]
    value, day = peak.value_mg_n_per_l, peak.date.p50
    if day is None or value.p50 is None:
        share = out_of_twenty(1.0 - peak.probability_exists)
        return [phrase("peak-unlikely", name=name, share=share)]
    height = both_bases(quantity, value.p50, basis)
    doubt = _peak_doubt(peak)
    when = weekday_date(day, beside=forecast.as_of)
    if day >= horizon_end(forecast) - timedelta(days=1):
        end = horizon_end(forecast)
        level = forecast.series[shown_species(quantity).key].p50[nearest_index(forecast, end)]
        told = {
            "end": weekday_date(end, beside=forecast.as_of),
            "height": both_bases(quantity, level, basis),
        }
        return [phrase("peak-at-end", name=name, **told), *doubt]
    past = day.date() < forecast.as_of.date()
    key = "peak-past" if past else "peak-ahead"
    sentences = [phrase(key, name=name, date=when, height=height)]
    sentences.append(_peak_range(quantity, peak.date, value, forecast, basis))
    return [*sentences, *doubt]


def milestone_sentences(kind: str, milestone: Milestone, forecast: Forecast) -> list[str]:
    """When the tank is ``settled`` or ``ready``, or why no date can be given."""
    status = milestone.status.replace(" ", "-")
    end = weekday_date(horizon_end(forecast), beside=forecast.as_of)
    share = out_of_twenty(milestone.probability_within_horizon)
    day = milestone.date.p50
    spared = milestone.probability_not_needed
    if status in {"ahead", "reached"} and day is not None:
        when = weekday_date(day, beside=forecast.as_of)
        sentences = [phrase(f"{kind}-{status}", date=when)]
        sentences += _milestone_range(milestone.date, forecast)
        if spared > RARE:
            sentences.append(phrase(f"{kind}-spared", share=out_of_twenty(spared)))
        if status == "ahead":
            sentences.append(phrase(f"{kind}-share", share=share, end=end))
        return sentences
    if status == "will-stall":
        return [phrase(f"{kind}-will-stall"), *cause_sentences(milestone)]
    key = f"{kind}-{status}"
    if key not in templates():
        return [phrase("milestone-without-date", kind=kind, status=milestone.status)]
    sentences = [phrase(key, end=end, share=share)]
    if status == "beyond-horizon":
        sentences += cause_sentences(milestone)
    return sentences


def cause_sentences(milestone: Milestone, most: int = 2) -> list[str]:
    """Why members never get there, the commonest cause first."""
    ranked = sorted(milestone.causes.items(), key=lambda item: -item[1])
    sentences = []
    for cause, share in ranked[:most]:
        if share >= RARE:
            slug = f"cause-{cause.replace(' ', '-').replace('_', '-')}"
            why = phrase(slug) if slug in templates() else f"The cause is {cause}."
            sentences.append(phrase("cause-share", share=out_of_twenty(share), why=why))
    return sentences


def horizon_end(forecast: Forecast) -> datetime:
    """The last moment the forecast speaks of."""
    return forecast.as_of + timedelta(days=forecast.horizon_days)


def nearest_index(forecast: Forecast, at: datetime) -> int:
    """Where in the series the time nearest to ``at`` stands."""
    gaps = [abs((time - at).total_seconds()) for time in forecast.times]
    return gaps.index(min(gaps))


def meaning(kind: str, milestone: Milestone, levels: SettledLevels) -> list[str]:
    """What ``settled`` or ``ready`` means, where a date or a chance of it was told."""
    told = milestone.status in {"ahead", "reached", "beyond horizon", "will stall"}
    if not told:
        return []
    under = {species: f"{levels.of(species):g}" for species in ("ammonia", "nitrite")}
    return [phrase(f"{kind}-meaning", **under)]


def _peak_doubt(peak: Peak) -> list[str]:
    """That some members never rise so far, where they are not few."""
    never = 1.0 - peak.probability_exists
    return [phrase("peak-not-everywhere", share=out_of_twenty(never))] if never > RARE else []


def _milestone_range(date: DateQuantiles, forecast: Forecast) -> list[str]:
    if date.p05 is None:
        return []
    if date.p95 is None:
        first = day_and_month(date.p05, beside=forecast.as_of)
        end = day_and_month(horizon_end(forecast), beside=forecast.as_of)
        return [phrase("range-open", first=first, end=end)]
    if date.p05.date() == date.p95.date():
        return []
    return [phrase("range-dates", dates=date_range(date.p05, date.p95, beside=forecast.as_of))]


def _peak_range(
    quantity: str,
    date: DateQuantiles,
    value: NumberQuantiles,
    forecast: Forecast,
    basis: str,
) -> str:
    shown = shown_species(quantity, basis)
    low, high = value.p05, value.p95
    dates = (
        date_range(date.p05, date.p95, beside=forecast.as_of)
        if date.p05 is not None and date.p95 is not None
        else None
    )
    if low is None or high is None:
        bound = low if low is not None else value.p25
        if bound is None or dates is None:
            return phrase("range-wide")
        return phrase("range-dates", dates=dates)
    least, most = shown.value(low), shown.amount(high)
    values = f"about {most}" if least == shown.value(high) else f"{least} to {most}"
    if dates is None:
        return phrase("range-values", values=values)
    return phrase("range-both", dates=dates, values=values)
