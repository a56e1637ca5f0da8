"""What outlives a journey: colonies on media by how they are carried, how long and how warm.

No publication was found that measures it for home filters. The shares come of the tables of events
and parameters, which are guesses of ours with wide ends and say so; warmth works by the factor that
the model's decay has.
"""

from __future__ import annotations

import math

from watervane.records import Finding, Span
from watervane.records.resettling import ColonyMove
from watervane.reference import Row, value

HOT_C, FROZEN_C = 40.0, 0.5  # from memory: nitrifiers of fresh water die above and below
DRY_AFTER_H = 24.0  # the row `kept_dried` is of a day or more
LONGEST_H = 72.0
COOL_C, WARM_C = 10.0, 30.0


class CannotResettle(Exception):
    """A move that cannot be worked out; every reason at once."""

    def __init__(self, problems: tuple[Finding, ...]) -> None:
        super().__init__(", ".join(each.key for each in problems))
        self.problems = problems


def survival(carried: str, hours: float, warmth_c: float) -> Span:
    """Share of a colony that outlives a journey, without what handling costs.

    Parameters
    ----------
    carried
        One of `watervane.records.resettling.CARRIED`.
    hours
        Of it. [h]
    warmth_c
        Of the media. [degC]
    """
    if warmth_c >= HOT_C or warmth_c <= FROZEN_C:
        return _span(value("kept_rinse_hot_water"))
    return Span(*(_left(carried, hours, warmth_c, worst=worst) for worst in (True, False)))


def kept_shares(move: ColonyMove) -> dict[str, Span]:
    """Share of the colonies of each habitat that goes on in the tank asked about."""
    way = survival(move.carried, move.hours, move.warmth_c)
    handled = _times(way, _span(value("kept_fresh")))
    rest = Span.exact(1.0)
    if move.kind == "filter":
        return {"filter": _scaled(handled, move.share), "bed": rest, "surface": rest}
    if move.kind == "lend":
        return {"filter": Span.exact(1.0 - move.share), "bed": rest, "surface": rest}
    bed = _times(way, _span(value("kept_bed_vacuumed"))) if move.bed else Span.exact(0.0)
    panes = Span.exact(0.0)  # of a larger tank they are new
    if move.kind == "house":
        damp = survival("damp", move.hours, move.warmth_c)
        panes = _times(damp, _span(value("kept_glass_wiped")))
    return {"filter": _scaled(handled, move.share), "bed": bed, "surface": panes}


def lent_share(move: ColonyMove) -> Span | None:
    """What media lent bring alive to another tank, of the filter's whole colony."""
    if move.kind != "lend":
        return None
    way = survival(move.carried, move.hours, move.warmth_c)
    return _scaled(_times(way, _span(value("kept_fresh"))), move.share)


def steps(move: ColonyMove) -> tuple[Finding, ...]:
    """What to do on the day, in order."""
    told: dict[str, object] = {"hours": move.hours, "share": move.share}
    keys = {
        "larger-tank": ("fill-first", "fast", "animals-last", "media-run", "bed-along", "small"),
        "house": ("fast", "bag", "lift-empty", "media-box", "bed-box", "run-at-once", "small"),
        "filter": ("both", "squeeze", "not-with-bed", "small"),
        "lend": ("healthy", "box", "theirs", "less-food"),
    }[move.kind]
    if not move.bed:
        keys = tuple("bed-new" if key in ("bed-along", "bed-box") else key for key in keys)
    found = [Finding(f"resettle-step-{key}", "info", told) for key in keys]
    cautions = []
    if move.kind in ("house", "larger-tank"):
        cautions.append(Finding("resettle-heavy", "caution"))
    cautions.append(Finding("resettle-plug", "caution"))
    if move.warmth_c < COOL_C or move.warmth_c > WARM_C:
        cautions.append(Finding("resettle-warmth", "caution", {"warmth_c": move.warmth_c}))
    return (*found, *cautions)


def problems(move: ColonyMove) -> tuple[Finding, ...]:
    """What makes no sense of it."""
    found = []
    if not 0.0 <= move.hours <= LONGEST_H:
        found.append(_wrong("hours", least=0, most=LONGEST_H))
    if not -30.0 <= move.warmth_c <= 60.0:
        found.append(_wrong("warmth", least=-30, most=60))
    if not 0.0 <= move.share <= 1.0 or (move.kind == "lend" and not 0.0 < move.share <= 1.0):
        found.append(_wrong("share", least=0, most=1))
    if not 0.0 <= move.old_water <= 1.0:
        found.append(_wrong("old-water", least=0, most=1))
    if (move.kind == "larger-tank") != (move.volume_l is not None):
        needed = "resettle-no-volume" if move.volume_l is None else "resettle-volume-for-nothing"
        found.append(Finding(needed, "problem", {"field": "volume"}))
    return tuple(found)


def _wrong(field: str, **told: object) -> Finding:
    return Finding("resettle-out-of-range", "problem", {"field": field, **told})


def _left(carried: str, hours: float, warmth_c: float, *, worst: bool) -> float:
    decay = value("decay_theta")
    theta = decay.high if worst == (warmth_c > 20.0) else decay.low  # warmth harms, cold spares
    warm = float(theta or decay.value) ** (warmth_c - 20.0)
    if carried == "aired":
        return 1.0
    if carried == "covered":
        grace_h = _end("no_flow_grace_h", worst=worst, high_is_bad=False) / warm
        rate = _end("filter_standstill_loss_per_d", worst=worst, high_is_bad=True) * warm
        return math.exp(-rate * max(hours - grace_h, 0.0) / 24.0)
    if carried == "damp":
        rate = _end("wet_out_of_water_loss_per_h", worst=worst, high_is_bad=True) * warm
        return math.exp(-rate * hours)
    left = max(_end("kept_dried", worst=worst, high_is_bad=False), 1e-6)
    return float(left ** min(hours * warm / DRY_AFTER_H, 1.0))


def _end(row_id: str, *, worst: bool, high_is_bad: bool) -> float:
    row = value(row_id)
    end = row.high if worst == high_is_bad else row.low
    return row.value if end is None else end


def _span(row: Row) -> Span:
    low, high = (row.value if end is None else end for end in (row.low, row.high))
    return Span(low, high)


def _times(one: Span, other: Span) -> Span:
    return Span(one.low * other.low, one.high * other.high)


def _scaled(one: Span, share: float) -> Span:
    return Span(share * one.low, share * one.high)
