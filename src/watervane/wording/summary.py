"""The forecast in plain sentences, most useful first."""

from __future__ import annotations

from datetime import datetime

from watervane.records import AnimalsIn, Band, Diagnostics, Forecast, Tank
from watervane.wording.amounts import acidity, count, listed
from watervane.wording.dates import weekday_date
from watervane.wording.lessons import in_words, lesson_sentences
from watervane.wording.milestones import (
    horizon_end,
    meaning,
    milestone_sentences,
    nearest_index,
    peak_sentences,
)
from watervane.wording.next_test import next_test_sentences
from watervane.wording.risks import risk_sentences
from watervane.wording.shown import shown_series, shown_species
from watervane.wording.templates import finding_text, phrase


def summary(forecast: Forecast, *, basis: str = "usual") -> list[str]:
    """The forecast as short paragraphs, one string each.

    Parameters
    ----------
    forecast
        As the engine hands it out.
    basis
        ``usual``, ``n`` or ``ion``: how nitrogen is printed.

    Returns
    -------
    list of str
        Today, the two peaks, settled, ready, the end of the horizon, then how far
        to trust it and what the readings taught.
    """
    paragraphs = [
        [today_sentence(forecast, basis), phrase("range-meaning")],
        risk_sentences(forecast),
        peak_sentences("ammonia", forecast.ammonia_peak, forecast, basis),
        peak_sentences("nitrite", forecast.nitrite_peak, forecast, basis),
        [
            *milestone_sentences("settled", forecast.settled, forecast),
            *meaning("settled", forecast.settled, forecast.settled_levels),
        ],
        [
            *milestone_sentences("ready", forecast.ready, forecast),
            *meaning("ready", forecast.ready, forecast.settled_levels),
        ],
        [end_sentence(forecast, basis)],
    ]
    health = [health_sentence(forecast.diagnostics)]
    if forecast.diagnostics.health == "poor":
        paragraphs.insert(0, health)  # a warning the reader must not have to look for
    else:
        paragraphs.append(health)
    paragraphs.insert(0, misfit_sentences(forecast.diagnostics))
    paragraphs += [lesson_sentences(forecast), next_test_sentences(forecast)]
    return [" ".join(part for part in paragraph if part) for paragraph in paragraphs if paragraph]


def brief_summary(forecast: Forecast, *, basis: str = "usual") -> list[str]:
    """The paragraphs a keeper needs first: today, the risks, the peaks, settled, the next test.

    Parameters
    ----------
    forecast, basis
        As in `summary`.
    """
    peaks = (("ammonia", forecast.ammonia_peak), ("nitrite", forecast.nitrite_peak))
    paragraphs = [
        [today_sentence(forecast, basis), phrase("range-meaning")],
        risk_sentences(forecast),
        [part for name, peak in peaks for part in peak_sentences(name, peak, forecast, basis)[:2]],
        [
            *milestone_sentences("settled", forecast.settled, forecast),
            *milestone_sentences("ready", forecast.ready, forecast)[:1],
        ],
    ]
    health = [health_sentence(forecast.diagnostics)]
    paragraphs.insert(0 if forecast.diagnostics.health == "poor" else len(paragraphs), health)
    paragraphs.insert(0, misfit_sentences(forecast.diagnostics))
    paragraphs.append(next_test_sentences(forecast))
    return [" ".join(part for part in paragraph if part) for paragraph in paragraphs if paragraph]


def headline(forecast: Forecast, *, basis: str = "usual") -> list[str]:
    """Two or three sentences for the head of a picture, after a warning where tests contradict."""
    return [
        *misfit_sentences(forecast.diagnostics),
        *peak_sentences("ammonia", forecast.ammonia_peak, forecast, basis)[:1],
        *peak_sentences("nitrite", forecast.nitrite_peak, forecast, basis)[:1],
        milestone_sentences("settled", forecast.settled, forecast)[0],
    ]


def misfit_sentences(diagnostics: Diagnostics) -> list[str]:
    """That so many tests fit no course that dates are a guess; nothing where they do fit."""
    told = [one for one in diagnostics.findings if one.key == "log-contradicts"]
    return [
        phrase("misfit", odd=one.arguments["odd"], days=one.arguments["days"]) for one in told[:1]
    ]


def today_sentence(forecast: Forecast, basis: str = "usual") -> str:
    """What the water most likely holds at the moment the forecast is made."""
    day = weekday_date(forecast.as_of)
    return phrase("today", date=day, levels=_levels(forecast, forecast.as_of, basis))


def end_sentence(forecast: Forecast, basis: str = "usual") -> str:
    """Where nitrate and pH most likely stand at the horizon."""
    end = horizon_end(forecast)
    day = weekday_date(end, beside=forecast.as_of)
    nitrate = shown_species("nitrate", basis)
    at = nearest_index(forecast, end)
    level = nitrate.amount(forecast.series[nitrate.key].p50[at])
    now = forecast.series["ph"].p50[nearest_index(forecast, forecast.as_of)]
    later = forecast.series["ph"].p50[at]
    if abs(later - now) >= 0.15:
        move = "ph-falls" if later < now else "ph-rises"
        change = phrase(move, now=acidity(now), later=acidity(later))
    else:
        change = phrase("ph-stays", now=acidity(now))
    return f"{phrase('nitrate-at-end', date=day, level=level)} {change}"


def health_sentence(diagnostics: Diagnostics) -> str:
    """How many imagined tanks fit the readings, and what that means."""
    told = {
        "effective": count(diagnostics.effective_members),
        "members": count(diagnostics.prior_members),
        "readings": diagnostics.readings_used,
    }
    if diagnostics.readings_used == 0:
        return phrase("health-no-readings", **told)
    return phrase(f"health-{diagnostics.health}", **told)


def assumption_sentences(forecast: Forecast) -> list[str]:
    """What was taken for granted because the tank file does not tell."""
    return [finding_text(finding) for finding in forecast.assumptions]


def trust_sentences(forecast: Forecast) -> list[str]:
    """What the engine found wanting about its own work."""
    return [finding_text(in_words(finding)) for finding in forecast.diagnostics.findings]


def cautions(tank: Tank) -> list[str]:
    """The standing cautions; the one on animals only where there are any."""
    templates = (habit.template for habit in tank.habits)
    animals = any(isinstance(event, AnimalsIn) for event in (*tank.events, *templates))
    keys = ["caution-estimate", *(["caution-animals"] if animals else [])]
    return [phrase(key) for key in keys]


def _levels(forecast: Forecast, at: datetime, basis: str) -> str:
    index = nearest_index(forecast, at)
    parts = []
    for shown in shown_series(basis):
        band: Band = forecast.series[shown.key]
        low, high = shown.value(band.p05[index]), shown.value(band.p95[index])
        middle = shown.amount(band.p50[index])
        spread = "" if low == high else f" ({low} to {high})"
        parts.append(f"{shown.title if shown.key == 'ph' else shown.quantity} {middle}{spread}")
    return listed(parts)
