"""The way back of a tank that drifted far, step by step."""

from __future__ import annotations

from collections.abc import Iterator

from watervane.records.care import ReturnPlan, ReturnStep
from watervane.wording.amounts import acidity, number, out_of_twenty
from watervane.wording.shown import shown_species
from watervane.wording.templates import phrase

TOLD_TIMES = 1.1  # nearer than that to what is borne, it is not told as a multiple


def return_part(plan: ReturnPlan) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """Heading, sentences and steps."""
    return (
        phrase("care-return-title"),
        tuple(_sentences(plan)),
        tuple(_step(each) for each in plan.steps),
    )


def _sentences(plan: ReturnPlan) -> Iterator[str]:
    limits = {
        "kh": number(plan.limits["kh"]),
        "ph": number(plan.limits["ph"]),
        "conductivity": f"{100.0 * plan.limits['conductivity']:.0f}",
    }
    key = "care-return" if plan.reached else "care-return-not"
    yield phrase(key, days=len(plan.steps), **limits)
    yield _careless(plan)
    if any(each.water == "soft" for each in plan.steps):
        yield phrase("care-return-soft")
        if plan.tap_days is None:
            yield phrase("care-return-tap-never")
        else:
            yield phrase("care-return-tap", days=plan.tap_days)
    runs = {
        "with_steps": out_of_twenty(plan.harm),
        "without": out_of_twenty(plan.harm_without),
    }
    alike = runs["with_steps"] == runs["without"]
    yield phrase("care-return-run-alike" if alike else "care-return-run", **runs)
    yield phrase("care-return-test", kh=limits["kh"])


def _careless(plan: ReturnPlan) -> str:
    """What a half at once would do, in the units of the limits."""
    told = plan.careless
    times = max(told["ammonia"], told["lasting"])
    conductivity = f"{100.0 * told['conductivity'] * plan.limits['conductivity']:.0f}"
    ammonia = (
        phrase("care-return-careless-ammonia", times=number(times))
        if times > TOLD_TIMES
        else phrase("care-return-careless-little", conductivity=conductivity)
    )
    return phrase(
        "care-return-careless",
        kh=number(max(told["kh"], 0.0) * plan.limits["kh"]),
        ph=number(told["ph"] * plan.limits["ph"]),
        ammonia=ammonia,
    )


def _step(step: ReturnStep) -> str:
    return phrase(
        f"care-return-step-{step.water}",
        day=step.day,
        litres=number(step.litres),
        percent=number(100.0 * step.share),
        tap=number(step.litres * step.tap_share),
        kh=number(step.kh_dkh.p50 or 0.0),
        ph=acidity(step.ph.p50 or 0.0),
        ammonia=shown_species("ammonia").amount(step.ammonia_mg_n_per_l.p50 or 0.0),
    )
