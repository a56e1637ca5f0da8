"""The list of limits: whose, in which water, and which of them lead."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

from watervane.engine import list_limits
from watervane.records import AnimalsIn, LimitEdit, LimitList, SourceWater, Tank
from watervane.reference import sources

AT = datetime(2026, 3, 2, tzinfo=UTC)
TANK = Tank(
    name="shelf",
    filled=date(2026, 3, 1),
    volume_l=60.0,
    heater_set_point_c=25.0,
    source_water=SourceWater(ph=7.6, chloride_mg_per_l=40.0),
    events=tuple(AnimalsIn(at=AT, species=s, count=4) for s in ("zebrafish", "neon tetra")),
)


def listed(tank: Tank = TANK) -> LimitList:
    return list_limits(tank, as_of=AT, now=AT)


def test_every_limit_names_a_source_and_those_it_stands_for() -> None:
    found = listed()
    assert set(found.animals) == {"zebrafish", "neon tetra"}
    for one in found.limits:
        assert one.limit.source in sources()
        assert set(one.limit.animals) <= set(found.animals)
        assert one.limit.animals


def test_the_most_sensitive_lead_and_all_of_a_kind_are_listed() -> None:
    acute = {
        one.limit.key: one.leads
        for one in listed().limits
        if (one.limit.subject, one.limit.tier) == ("nitrite", "acute")
    }
    assert acute == {"nitrite_acute_very_sensitive": True, "nitrite_acute_tolerant": False}


def test_a_level_that_moves_with_the_water_has_a_range_and_a_fixed_one_none() -> None:
    levels = {one.limit.key: one.level for one in listed().limits}
    total, fixed = levels["total_ammonia_acute"], levels["co2_acute"]
    assert total.p05 < total.p50 < total.p95
    assert fixed.p05 == fixed.p95 == 60.0
    acid = listed(replace(TANK, source_water=SourceWater(ph=6.5)))
    (more,) = (o.level.p50 for o in acid.limits if o.limit.key == "total_ammonia_acute")
    assert more > total.p50


def test_the_keepers_own_figure_stands_as_theirs_even_where_it_is_the_laxer() -> None:
    edited = listed(replace(TANK, limit_edits=(LimitEdit("nitrite_acute_tolerant", 9.0, "so"),)))
    (mine,) = (one for one in edited.limits if one.limit.edited)
    assert (mine.limit.key, mine.limit.level, mine.limit.source) == (
        "nitrite_acute_tolerant",
        9.0,
        "keeper",
    )


def test_what_is_assumed_of_chloride_is_said() -> None:
    unknown = listed(replace(TANK, source_water=SourceWater(ph=7.6)))
    assert [finding.key for finding in unknown.assumptions] == ["limits-assumed-chloride"]
    assert listed().assumptions == ()


def test_without_animals_nothing_holds_and_that_is_said() -> None:
    found = listed(replace(TANK, events=()))
    assert found.limits == ()
    assert "limits-no-animals" in [finding.key for finding in found.assumptions]
