"""Scores in plain sentences and tables: first how often right, then how close, then the rest."""

from __future__ import annotations

from collections.abc import Sequence

from watervane.records import (
    COVERED,
    LAST_VALUE,
    OWN,
    PRIOR,
    QUANTITY_UNITS,
    RULE,
    TREND,
    Moment,
    Scores,
    ScoreSummary,
)
from watervane.wording.amounts import listed, number
from watervane.wording.dates import date_range, short_date, weekday_date
from watervane.wording.tables import QUANTITY_NAMES, NumberTable
from watervane.wording.templates import finding_text, phrase

RIVALS = (PRIOR, LAST_VALUE, TREND)
CLAIMED = COVERED[1]
NEAR = 0.1  # of the readings, to call a coverage about as claimed
ALIKE = 0.03  # of an error, to call two alike
FEW = 10  # readings say little


def score_sentences(scores: Scores) -> list[str]:
    """What a replay, or a set of stored forecasts, came to.

    Parameters
    ----------
    scores
        As the engine hands them out.

    Returns
    -------
    list of str
        Paragraphs: coverage, closeness, the settled date, how far to trust it.
    """
    whole = _over_all(scores)
    own = whole[OWN]
    paragraphs = [
        [_opening(scores), _coverage(own), _verdict(own), phrase("score-counted")],
        [_against(whole), phrase("score-rivals" if PRIOR in whole else "score-rivals-stored")],
        [_settled(scores)],
        [*_poor(scores.moments), *(finding_text(f) for f in scores.findings)],
    ]
    return [" ".join(part for part in paragraph if part) for paragraph in paragraphs if paragraph]


def score_tables(scores: Scores) -> list[NumberTable]:
    """Scores by quantity, by forecaster and by moment."""
    return [_by_quantity(scores), _by_forecaster(scores), _by_moment(scores)]


def _over_all(scores: Scores) -> dict[str, ScoreSummary]:
    return {one.forecaster: one for one in scores.summaries if not one.quantity}


def _opening(scores: Scores) -> str:
    first, last = scores.moments[0].as_of, scores.moments[-1].as_of
    told = {"tank": scores.tank, "first": weekday_date(first), "last": weekday_date(last)}
    count = len(scores.moments)
    if scores.made == "stored":
        key = "score-stored-one" if count == 1 else "score-stored"
    else:
        key = "score-replay-one" if count == 1 else "score-replay"
    return phrase(key, count=count, **told)


def _coverage(own: ScoreSummary) -> str:
    half, most, nearly = (round(count) for count in own.covered)
    return phrase("score-coverage", count=own.count, half=half, most=most, nearly=nearly)


def _verdict(own: ScoreSummary) -> str:
    share = own.covered[COVERED.index(CLAIMED)] / own.count
    if own.count < FEW:
        return phrase("score-verdict-few")
    if share < CLAIMED - NEAR:
        return phrase("score-verdict-narrow")
    if share > CLAIMED + NEAR:
        return phrase("score-verdict-wide")
    return phrase("score-verdict-right")


def _against(whole: dict[str, ScoreSummary]) -> str:
    parts = []
    for name in RIVALS:
        one = whole.get(name)
        if one is None or one.crps_ratio is None:
            continue
        rival, percent = phrase(f"rival-{_key(name)}"), round(100 * (1.0 - one.crps_ratio))
        if abs(one.crps_ratio - 1.0) < ALIKE:
            parts.append(phrase("score-alike", rival=rival))
        elif one.crps_ratio < 1.0:
            parts.append(phrase("score-closer", rival=rival, percent=percent))
        else:
            parts.append(phrase("score-farther", rival=rival, times=number(one.crps_ratio)))
    return phrase("score-against", parts=listed(parts)) if parts else phrase("score-no-rival")


def _key(forecaster: str) -> str:
    return forecaster.replace(" ", "-")


def _settled(scores: Scores) -> str:
    if scores.settled is None:
        return phrase(scores.settled_reason or "settled-not-shown")
    between = date_range(*scores.settled)
    scored = [moment for moment in scores.moments if OWN in moment.settled]
    if not scored:
        return phrase("settled-shown-unscored", between=between)
    means = {
        name: number(sum(m.settled[name].crps_d for m in scored) / len(scored))
        for name in scored[0].settled
    }
    others = [
        phrase(f"settled-of-{name}", days=means[name]) for name in (PRIOR, RULE) if name in means
    ]
    key = "settled-scored-one" if len(scored) == 1 else "settled-scored"
    return phrase(key, between=between, count=len(scored), days=means[OWN], others=listed(others))


def _poor(moments: Sequence[Moment]) -> list[str]:
    poor = sum(moment.health == "poor" for moment in moments)
    return [phrase("score-poor", poor=poor, count=len(moments))] if poor else []


def _name(quantity: str) -> str:
    name = QUANTITY_NAMES.get(quantity, quantity)
    unit = QUANTITY_UNITS[quantity]
    return f"{name}, {unit}" if unit else name


def _by_quantity(scores: Scores) -> NumberTable:
    quantities = list(dict.fromkeys(one.quantity for one in scores.summaries))
    by = {(one.quantity, one.forecaster): one for one in scores.summaries}
    rivals = [name for name in RIVALS if ("", name) in by]
    rows = []
    for quantity in quantities:
        own = by[quantity, OWN]
        ratios = [by.get((quantity, name)) for name in rivals]
        rows.append(
            (
                _name(quantity) if quantity else phrase("score-all"),
                str(own.count),
                *(f"{round(count)}" for count in own.covered),
                "" if own.crps is None else number(own.crps),
                *(_ratio(one) for one in ratios),
            )
        )
    headers = (
        *("Quantity", "Later readings"),
        *(f"in {100 * level:.0f} %" for level in COVERED),
        *("CRPS", *(phrase(f"over-{_key(name)}") for name in rivals)),
    )
    return NumberTable(
        phrase("score-by-quantity"), phrase("score-by-quantity-caption"), headers, tuple(rows)
    )


def _ratio(one: ScoreSummary | None) -> str:
    if one is None or one.crps_ratio is None:
        return phrase("score-none")
    return f"{one.crps_ratio:.2f}"


def _by_forecaster(scores: Scores) -> NumberTable:
    rows = tuple(
        (
            phrase(f"rival-{_key(one.forecaster)}"),
            str(one.count),
            *(f"{count / one.count:.0%}".replace("%", " %") for count in one.covered),
            f"{one.log_score:.2f}",
        )
        for one in _over_all(scores).values()
    )
    headers = (
        *("Foretold by", "Later readings"),
        *(f"in {100 * level:.0f} %" for level in COVERED),
        "Log score",
    )
    return NumberTable(
        phrase("score-by-forecaster"), phrase("score-by-forecaster-caption"), headers, rows
    )


def _by_moment(scores: Scores) -> NumberTable:
    with_dates = any(moment.settled for moment in scores.moments)
    rows = []
    for moment in scores.moments:
        later = sum(row.as_of == moment.as_of for row in scores.rows)
        cells = [short_date(moment.as_of), str(moment.readings_used), moment.health, str(later)]
        if with_dates:
            cells += [
                number(moment.settled[name].crps_d)
                if name in moment.settled
                else phrase("score-none")
                for name in (OWN, RULE)
            ]
        rows.append(tuple(cells))
    headers = ("Foretold on", "Readings known", "Agreement", "Later readings")
    if with_dates:
        headers += ("Settled off, days", "Rule off, days")  # type: ignore[assignment]
    return NumberTable(
        phrase("score-by-moment"), phrase("score-by-moment-caption"), headers, tuple(rows)
    )
