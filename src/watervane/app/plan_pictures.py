"""Join a rehearsed plan, words and panels into its picture."""

from __future__ import annotations

from watervane.charts.rehearsed import PlanLevel, PlanPanel, PlanPicture
from watervane.records.other_plans import RehearsedPlan
from watervane.wording import phrase
from watervane.wording.amounts import plain
from watervane.wording.plans import plan_sentences
from watervane.wording.shown import shown_species
from watervane.wording.watched import Watched, watched

NEAR = 0.02  # of a chance: a limit that is passed less often, under either plan, is not drawn


def plan_picture(told: RehearsedPlan) -> PlanPicture:
    """Everything a renderer needs to draw both plans."""
    sentences = " ".join(plan_sentences(told))
    panels = _panels()
    return PlanPicture(
        told,
        panels,
        tuple(level for panel in panels for level in _levels(panel, told)),
        phrase("plan-description", days=told.horizon_days, told=sentences),
    )


def _panels() -> tuple[PlanPanel, ...]:
    species = [shown_species(name) for name in ("ammonia", "nitrite", "nitrate")]
    return (
        *(PlanPanel(each.key, f"{each.title}, {each.unit}", each.factor) for each in species),
        PlanPanel("oxygen_mg_per_l", phrase("plan-oxygen"), from_zero=False),
        PlanPanel("temperature_c", phrase("plan-temperature"), from_zero=False),
    )


def _levels(panel: PlanPanel, told: RehearsedPlan) -> list[PlanLevel]:
    """The limit of a panel that is passed most often, if any is."""
    found: list[tuple[float, Watched]] = []
    for name, chances in told.rehearsal.passed.items():
        level = watched(name, told.rehearsal.limits)
        if level is not None and level.series_key == panel.series_key and max(chances) > NEAR:
            found.append((max(chances), level))
    if not found:
        return []
    level = max(found, key=lambda each: each[0])[1]
    value = level.drawn_value * panel.factor
    side = "over" if level.above else "under"
    key = f"limit-line-{level.tier}-{side}" if level.tier else f"caution-line-{side}"
    return [PlanLevel(panel.series_key, value, phrase(key, level=plain(value, 2)))]
