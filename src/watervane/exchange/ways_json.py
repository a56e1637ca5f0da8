"""Ways to start as one JSON document, ``watervane-ways/1``."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from watervane.exchange.figures import quantiles, short
from watervane.records import (
    ChangePlan,
    DosePlan,
    Finding,
    FirstDose,
    NumberQuantiles,
    StartWay,
    Ways,
)

WAYS_FORMAT = "watervane-ways/1"


def ways_document(ways: Ways) -> dict[str, Any]:
    """The document as plain dictionaries and lists.

    Parameters
    ----------
    ways
        As the engine hands them out.

    Returns
    -------
    dict
        Dates are ISO 8601 with offset; days are counted from the start, and one that is not
        within the horizon is null.
    """
    return {
        "format": WAYS_FORMAT,
        "tank": ways.tank,
        "as_of": ways.as_of.isoformat(),
        "begins": ways.begins.isoformat(),
        "horizon_days": ways.horizon_days,
        "seed": ways.seed,
        "members": ways.diagnostics.members,
        "health": ways.diagnostics.health,
        "volume_l": short(ways.volume_l),
        "animals_in": ways.animals_in,
        "food_g_per_d": short(ways.food_g_per_d),
        "food_assumed": ways.food_assumed,
        "preferred": ways.preferred,
        "reasons": [_finding(each) for each in ways.reasons],
        "ways": [_way(each) for each in ways.ways],
        "seeds": [
            {"source": s.source, "kind": s.kind, "volume_l": short(s.volume_l)} for s in ways.seeds
        ],
    }


def _way(way: StartWay) -> dict[str, Any]:
    return {
        "way": way.key,
        "animals": way.animals,
        "species": way.species,
        "settled_days": quantiles(way.settled_days),
        "settled_within_horizon": short(way.settled_within),
        "ready_days": quantiles(way.ready_days),
        "ready_within_horizon": short(way.ready_within),
        "animal_hours_above_limits": {
            tier: {
                **quantiles(hours),
                "mean": short(way.mean_animal_hours[tier]),
                "chance_of_any": short(way.harmed[tier]),
            }
            for tier, hours in way.animal_hours.items()
        },
        "work": {
            "minutes": quantiles(way.work_minutes),
            "tasks": quantiles(way.tasks),
            "water_changed_l": quantiles(way.changed_l),
            "cost": way.cost,
        },
        "seed": None
        if way.seed is None
        else {
            "source": way.seed.source,
            "kind": way.seed.kind,
            "volume_l": short(way.seed.volume_l),
        },
        "dose_plan": None if way.dose_plan is None else _plan(way.dose_plan),
        "change_plan": None if way.change_plan is None else _part(way.change_plan),
        "middle_future": [
            {"at": deed.at.isoformat(), "kind": deed.kind, "amount": short(deed.amount)}
            for deed in way.middle
        ],
        "reasons": [_finding(each) for each in way.reasons],
    }


def _plan(plan: DosePlan) -> dict[str, Any]:
    return {field.name: _part(getattr(plan, field.name)) for field in fields(plan)}


def _part(value: object) -> object:
    if isinstance(value, NumberQuantiles):
        return quantiles(value)
    if isinstance(value, FirstDose | ChangePlan):
        return {field.name: _part(getattr(value, field.name)) for field in fields(value)}
    return short(value) if isinstance(value, float) else value


def _finding(finding: Finding) -> dict[str, Any]:
    arguments = {
        name: short(value) if isinstance(value, float) else value
        for name, value in finding.arguments.items()
    }
    return {"key": finding.key, "arguments": arguments}
