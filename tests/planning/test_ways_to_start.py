"""Which ways are open, and in what order they are put."""

from __future__ import annotations

from dataclasses import replace

from watervane.planning.start_kinds import open_ways
from watervane.planning.ways_to_start import humane, ranked, reasons_for
from watervane.records import AllowedRisk, NumberQuantiles, StartWay

ZERO = NumberQuantiles(0.0, 0.0, 0.0, 0.0, 0.0)
USUAL = AllowedRisk()
NEVER = NumberQuantiles(None, None, None, None, None)


def _way(
    key: str, days: float, *, animals: int = 0, harmed: float = 0.0, minutes: float = 100.0
) -> StartWay:
    quantiles = NumberQuantiles(days, days, days, days, days)
    return StartWay(
        key=key,
        animals=animals,
        species=None,
        settled_days=quantiles,
        settled_within=1.0,
        ready_days=quantiles,
        ready_within=1.0,
        animal_hours={"acute": ZERO, "chronic": ZERO},
        mean_animal_hours={"acute": 0.0, "chronic": 1000.0 * harmed},
        harmed={"acute": 0.0, "chronic": harmed},
        work_minutes=NumberQuantiles(minutes, minutes, minutes, minutes, minutes),
        tasks=ZERO,
        changed_l=ZERO,
        cost="little",
    )


def _keys(*ways: StartWay) -> list[str]:
    return [way.key for way in ranked(ways, USUAL)]


def test_a_way_that_harms_comes_after_every_way_that_does_not() -> None:
    assert _keys(_way("quick", 2.0, harmed=0.2), _way("slow", 60.0)) == ["slow", "quick"]


def test_the_sooner_one_comes_first_but_a_few_days_do_not_count() -> None:
    assert _keys(_way("a", 30.0), _way("b", 10.0)) == ["b", "a"]
    assert _keys(_way("with", 8.0, animals=6), _way("without", 12.0)) == ["without", "with"]
    assert _keys(_way("hard", 8.0, minutes=300.0), _way("easy", 12.0)) == ["easy", "hard"]


def test_animals_are_not_moved_where_they_may_as_well_stay() -> None:
    assert _keys(
        _way("lodged", 8.0, minutes=90.0), _way("as-planned", 9.0, animals=4, minutes=0.0)
    ) == ["as-planned", "lodged"]


def test_what_harms_least_comes_first_among_what_harms() -> None:
    ways = [_way("most", 5.0, harmed=0.9), _way("least", 50.0, harmed=0.2)]
    assert _keys(*ways) == ["least", "most"]


def test_where_nothing_settles_that_is_the_reason_and_the_likeliest_comes_first() -> None:
    never = replace(_way("x", 1.0), settled_days=NEVER, ready_days=NEVER)
    ways = ranked(
        [replace(never, settled_within=0.1), replace(never, key="y", settled_within=0.4)], USUAL
    )
    assert [way.key for way in ways] == ["y", "x"]
    (reason,) = reasons_for(ways[0], ways, USUAL, occupied=False)
    assert (reason.key, reason.arguments["chance"]) == ("ways-none-settles", 0.4)


def test_a_sooner_way_is_named_with_its_price() -> None:
    ways = ranked([_way("gentle", 40.0), _way("rough", 10.0, animals=9, harmed=0.5)], USUAL)
    reasons = reasons_for(ways[0], ways, USUAL, occupied=False)
    assert [reason.key for reason in reasons] == ["ways-no-animals-in-it", "ways-sooner-at-a-price"]
    assert reasons[1].arguments == {"way": "rough", "hours": 500.0}


def test_who_has_animals_in_is_not_shown_what_ought_to_have_come_before() -> None:
    inside = {way.key for way in open_ways(occupied=True, planted=False)}
    empty = {way.key for way in open_ways(occupied=False, planted=False)}
    assert not inside & empty
    assert "as-planned" in {w.key for w in open_ways(occupied=False, planted=False, planned=True)}


def test_a_plan_is_praised_for_no_more_than_it_does() -> None:
    for harmed, key in ((0.0, "ways-plan-will-do"), (0.5, "ways-plan-harms-least")):
        plan = _way("as-planned", 10.0, animals=4, harmed=harmed)
        (reason,) = reasons_for(plan, [plan], USUAL, occupied=True)
        assert reason.key == key
    help_first = [_way("tended", 10.0, animals=4, harmed=0.1), _way("as-planned", 10.0, harmed=0.9)]
    (reason,) = reasons_for(help_first[0], help_first, USUAL, occupied=True)
    assert (reason.key, reason.arguments["planned_hours"]) == ("ways-help-the-animals", 900.0)


def test_plants_are_no_way_of_their_own_where_they_grow_already() -> None:
    for occupied in (False, True):
        keys = [way.key for way in open_ways(occupied=occupied, planted=True)]
        assert not any("planted" in key for key in keys)


def test_tiers_are_never_put_together() -> None:
    assert humane(_way("a", 1.0, harmed=0.05), USUAL)
    assert not humane(_way("a", 1.0, harmed=0.06), USUAL)
    acute = replace(_way("a", 1.0), harmed={"acute": 0.02, "chronic": 0.02})
    assert not humane(acute, USUAL)


def test_what_is_humane_goes_by_the_risk_the_keeper_accepts() -> None:
    rough = _way("rough", 10.0, animals=9, harmed=0.04)
    gentle = _way("gentle", 40.0)
    strict = AllowedRisk(chronic=0.02)
    assert [way.key for way in ranked([gentle, rough], USUAL)] == ["rough", "gentle"]
    assert [way.key for way in ranked([gentle, rough], strict)] == ["gentle", "rough"]
    assert humane(replace(rough, harmed={"acute": 0.03, "chronic": 0.0}), AllowedRisk(acute=0.03))
