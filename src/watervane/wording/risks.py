"""The chance, day by day, that a limit is passed: sentences and the emblem's marks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from watervane.records import Forecast, ToldLimit
from watervane.wording.amounts import TWENTIETHS, listed, out_of_twenty
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.templates import phrase
from watervane.wording.watched import Watched, doubted, of_limit, watched

__all__ = ["MarkedDay", "MarkedWeek", "Watched", "leading_week", "limit_lines", "marked_weeks",
           "risk_sentences", "watched"]  # fmt: skip

DAYS, DAY_HOURS = 7, 24.0
WORTH_TELLING = 0.05
COMFORT = "comfort"
Week = tuple[Watched, tuple[float, ...]]


@dataclass(frozen=True, slots=True)
class MarkedDay:
    """One day of the emblem: twenty marks, the struck ones last, and the words under them."""

    label: str
    struck: int
    text: str
    """In how many of twenty the level is passed, as the struck marks: all chances are told so."""


@dataclass(frozen=True, slots=True)
class MarkedWeek:
    """One limit over the next seven days."""

    title: str
    days: tuple[MarkedDay, ...]


def risk_sentences(forecast: Forecast) -> list[str]:
    """Which limits are likely to be passed in the next seven days, the likeliest first.

    What harms at once comes first, what harms over time next, and what is only uncomfortable
    last, in one sentence.
    """
    told = _weeks(forecast)
    if not told:
        nobody = any(one.key == "limits-no-animals" for one in forecast.assumptions)
        return [phrase("risk-nobody")] if nobody else []
    grave = [week for week in _worst_first(told) if max(week[1]) >= WORTH_TELLING]
    if not grave:
        return [_none(forecast, told)]
    sentences = []
    for level, chances in grave:
        if level.tier != COMFORT:
            date = weekday_date(_day(forecast, _worst_day(chances)), beside=forecast.as_of)
            words = {"name": level.named, "limit": level.limit, "mean": level.mean}
            words |= {"share": out_of_twenty(max(chances)), "animals": level.animals}
            key = f"risk-passed-{level.tier}" if level.tier else "risk-passed"
            sentences.append(phrase(key, **words, date=date))
    if sentences:
        sentences.append(phrase("risk-do"))
    items = [
        phrase(
            "risk-comfort-item",
            text=doubted(one, forecast.assumptions),
            mean=one.mean,
            share=out_of_twenty(max(chances)),
        )
        for one, chances in grave
        if one.tier == COMFORT
    ]
    return [*sentences, *([phrase("risk-passed-comfort", items=listed(items))] if items else [])]


def marked_weeks(forecast: Forecast) -> tuple[MarkedWeek, ...]:
    """The emblem of every limit that may well be passed, one a tier.

    Discomfort that is alike on all days is said in a sentence, and needs no picture.
    """
    weeks = []
    for level, chances in _worst_first(_weeks(forecast)):
        alike = level.tier == COMFORT and max(chances) - min(chances) < WORTH_TELLING
        if max(chances) >= WORTH_TELLING and not alike:
            weeks.append(_marked((level, chances), forecast))
    return tuple(weeks)


def leading_week(forecast: Forecast, about: ToldLimit | None = None) -> MarkedWeek | None:
    """The emblem of one limit, however little it is to be feared; ``None`` where none is told.

    Parameters
    ----------
    forecast
        With its risks.
    about
        The limit to tell of. What is averaged over many days may stand beyond its level long
        before its mean does: where hardly any future passes that, as where nothing is told
        here, it is the limit most to be feared.
    """
    if about is not None:
        chances = forecast.risk.get(f"{about.subject}_{about.tier}", ())[:DAYS]
        if chances and (about.hours <= DAY_HOURS or max(chances) >= WORTH_TELLING):
            return _marked((of_limit(about), tuple(chances)), forecast)
    grave = marked_weeks(forecast)
    if grave:
        return grave[0]
    weeks = _worst_first(_weeks(forecast))
    return _marked(weeks[0], forecast) if weeks else None


def _marked(week: Week, forecast: Forecast) -> MarkedWeek:
    level, chances = week
    days = tuple(
        MarkedDay(
            short_date(_day(forecast, day)).rpartition(" ")[0],
            round(chance * TWENTIETHS),
            _short(chance),
        )
        for day, chance in enumerate(chances)
    )
    key = f"emblem-title-{level.tier}" if level.tier else "emblem-title"
    return MarkedWeek(phrase(key, level=f"{level.text}{level.mean}"), days)


def limit_lines(forecast: Forecast, drawn: tuple[str, ...] = ()) -> list[str]:
    """Whom each limit that is told or drawn stands for, and where it comes from.

    Parameters
    ----------
    forecast
        With its limits.
    drawn
        Keys of those drawn as lines.
    """
    weeks = dict.fromkeys(
        one.key for one, chances in _weeks(forecast) if max(chances) >= WORTH_TELLING
    )
    keys = [key for key in forecast.limits if key in weeks or key in drawn]
    return [limit_line(of_limit(forecast.limits[key])) for key in keys]


def limit_line(one: Watched) -> str:
    """One limit with whom it stands for and where it comes from."""
    words = {"limit": one.text, "mean": one.mean, "animals": one.animals, "origin": one.origin}
    moves = one.told is not None and one.told.varies
    words["varies"] = phrase("limit-varies") if moves else ""
    text = phrase("limit-told", **words, tier=phrase(f"limit-tier-{one.tier}"))
    return text[:1].upper() + text[1:] if one.named != one.name else text


def _none(forecast: Forecast, told: list[Week]) -> str:
    if not forecast.limits:
        return phrase("risk-none", levels=listed([level.text for level, _ in told]))
    names = dict.fromkeys(name for limit in forecast.limits.values() for name in limit.animals)
    return phrase("risk-none-of-those", animals=listed(list(names)))


def _worst_first(weeks: list[Week]) -> list[Week]:
    order = ("", "acute", "chronic", COMFORT)
    return sorted(weeks, key=lambda week: (order.index(week[0].tier), -max(week[1])))


def _worst_day(chances: tuple[float, ...]) -> int:
    return chances.index(max(chances))


def _day(forecast: Forecast, day: int) -> datetime:
    """The date most of the day's 24 hours after the forecast's moment fall on."""
    return forecast.as_of + timedelta(days=day, hours=12)


def _weeks(forecast: Forecast) -> list[Week]:
    limits = forecast.limits
    levels = ((watched(key, limits), chances[:DAYS]) for key, chances in forecast.risk.items())
    return [(level, chances) for level, chances in levels if level is not None and chances]


def _short(share: float) -> str:
    marks = round(share * TWENTIETHS)
    if marks == TWENTIETHS and share < 1.0:
        return ">19 of 20"
    if marks == 0 and share > 0.0:
        return "<1 of 20"
    return f"{marks} of 20"
