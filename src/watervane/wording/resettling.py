"""A move of colonies in sentences and a table."""

from __future__ import annotations

from watervane.records import Finding, NumberQuantiles, Span
from watervane.records.resettling import ResettledWay, Resettling
from watervane.wording.amounts import number, out_of_twenty
from watervane.wording.rehearsals import worse_sentences
from watervane.wording.tables import NumberTable
from watervane.wording.templates import finding_text, phrase

HARM = ("ammonia_acute", "ammonia_chronic", "nitrite_acute", "nitrite_chronic")
THE_DAY_BEFORE = ("resettle-step-fill-first", "resettle-step-fast")


def resettling_title(found: Resettling) -> str:
    """What is moved."""
    litres = "" if found.move.volume_l is None else number(found.move.volume_l, 3)
    what = phrase(f"resettle-kind-{found.move.kind}", litres=litres)
    return phrase("resettle-title", what=what, tank=found.tank)


def resettling_sentences(found: Resettling) -> list[str]:
    """What travels, and what comes of it."""
    move, asked = found.move, found.asked
    told = {
        "carried": phrase(f"resettle-carried-{move.carried}"),
        "hours": number(move.hours, 2),
        "warmth": number(move.warmth_c, 2),
    }
    if found.lent is not None:
        here = _share(asked.kept["filter"].low)
        lent = {"lent_low": _share(found.lent.low), "lent_high": _share(found.lent.high)}
        sentences = [phrase("resettle-kept-lent", low=here, **lent, **told)]
    else:
        sentences = [phrase("resettle-kept-filter", **_ends(asked.kept["filter"]), **told)]
    if move.kind in ("larger-tank", "house"):
        bed = asked.kept["bed"]
        key = "resettle-kept-bed" if bed.high > 0.0 else "resettle-kept-bed-none"
        sentences.append(phrase(key, **_ends(bed)))
    left = [q.p50 for q in asked.rehearsal.colonies.values() if q.p50 is not None]
    if left:
        sentences.append(phrase("resettle-left", share=_share(min(left))))
    worse = worse_sentences(asked.rehearsal)
    sentences += worse or [phrase("resettle-none-worse", days=found.horizon_days)]
    return [*sentences, phrase("resettle-guess")]


def resettling_table(found: Resettling) -> NumberTable:
    """All ways side by side."""
    return NumberTable(
        phrase("resettle-table"),
        phrase("resettle-caption", days=found.horizon_days),
        tuple(
            phrase(f"resettle-way{name}") for name in ("", "-kept", "-ammonia", "-nitrite", "-harm")
        ),
        tuple(_row(each, found) for each in found.ways),
    )


def resettling_steps(found: Resettling) -> list[str]:
    """What to do on the day, then afterwards."""
    steps = sorted(found.steps, key=_when)
    return [*(finding_text(each) for each in steps), phrase("resettle-after")]


def _when(step: Finding) -> int:
    """What is done before the day, then the plugs, since after that hands go in; then the rest."""
    return 0 if step.key in THE_DAY_BEFORE else 1 if step.key == "resettle-plug" else 2


def _row(way: ResettledWay, found: Resettling) -> tuple[str, ...]:
    highest = {e.series: e for e in way.rehearsal.extremes if e.highest}
    kept = way.kept["filter"]
    chances = [way.rehearsal.passed[name] for name in HARM if name in way.rehearsal.passed]
    before = max((each[0] for each in chances), default=0.0)
    after = max((each[1] for each in chances), default=0.0)
    return (
        _named(way, found),
        _share(kept.low) if kept.low == kept.high else f"{_share(kept.low)} – {_share(kept.high)}",
        _middle(highest["ammonia_mg_n_per_l"].changed),
        _middle(highest["nitrite_mg_n_per_l"].changed),
        f"{out_of_twenty(before)} / {out_of_twenty(after)}",
    )


def _named(way: ResettledWay, found: Resettling) -> str:
    if way.name != "asked":
        return phrase(f"resettle-way-{way.name}")
    if found.move.kind == "lend":
        return phrase("resettle-way-asked-lend")
    return phrase("resettle-way-asked", carried=phrase(f"resettle-carried-{found.move.carried}"))


def _middle(told: NumberQuantiles) -> str:
    if told.p50 is None or told.p95 is None:
        return "–"
    return f"{number(told.p50)} ({number(told.p95)})"


def _ends(span: Span) -> dict[str, str]:
    return {"low": _share(span.low), "high": _share(span.high)}


def _share(share: float) -> str:
    return f"{number(100.0 * share, 2)} %"
