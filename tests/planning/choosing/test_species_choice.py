"""Choices: each stated reason, binding room and help is put to the test it claims to pass."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.planning.blueprint.shapes import CannotPlan
from watervane.planning.blueprint.whole import blueprint_of
from watervane.planning.choosing.fitting import against_it, least_of, most_of
from watervane.planning.choosing.helping import enlarged
from watervane.planning.choosing.pairing import between, pair_reasons
from watervane.planning.choosing.program import best, better, fits, worth_of
from watervane.planning.choosing.scene import load_of_one, scene_of
from watervane.planning.choosing.standing import Wished, grid_c, meets_all, standing_at
from watervane.planning.choosing.whole import choice_of, plan_with
from watervane.records import (
    AnimalWish,
    BlueprintWish,
    Choice,
    ChoiceWish,
    GlassBox,
    SharedWater,
    SourceWater,
    Worth,
)
from watervane.reference import CatalogueAnimal, catalogue, find_animal
from watervane.units import Span

BOX = GlassBox(length_cm=100.0, width_cm=40.0, height_cm=50.0, glass_mm=8.0, measured="outside")
NITRATE = 2.0
PLAN = BlueprintWish(
    "Reading room",
    BOX,
    warmest_c=26.0,
    machines_w=5.0,
    source_water=SourceWater(nitrate_mg_n_per_l=NITRATE),
)
WATER = SharedWater(Span(6.8, 7.4), 8.0, 5.0, NITRATE)
SMALL = ("neon tetra", "Danio rerio", "guppy", "Corydoras aeneus", "Pangio kuhlii", "goldfish")


def wish(*names: str, counts: dict[str, int] | None = None, **told: Any) -> ChoiceWish:
    animals = [find_animal(name).scientific_name for name in names]
    told = {"plan": PLAN, "water": WATER, **told}
    wishes = tuple(AnimalWish(name, (counts or {}).get(name)) for name in animals)
    return ChoiceWish(animals=wishes, **told)


def rows_of(asked: ChoiceWish) -> dict[str, CatalogueAnimal]:
    return {each.species: find_animal(each.species) for each in asked.animals}


def chosen(asked: ChoiceWish) -> Choice:
    return choice_of(asked, rows_of(asked))


def wished_of(asked: ChoiceWish) -> Wished:
    rows, scene = rows_of(asked), scene_of(asked)
    return Wished(rows, {w.species: w for w in asked.animals}, pair_reasons(rows, scene))


LISTS = st.lists(
    st.sampled_from([each.scientific_name for each in catalogue()]),
    min_size=2,
    max_size=6,
    unique=True,
)


@settings(max_examples=12, deadline=None)
@given(
    names=st.lists(st.sampled_from(SMALL), min_size=2, max_size=3, unique=True),
    change=st.floats(5.0, 40.0),
)
def test_no_numbers_at_any_temperature_meet_the_wishes_better(names, change) -> None:
    """Every number of each kind at every half degree, tried one by one."""
    asked = wish(*names, change_l_per_week=change)
    found, wished, scene = chosen(asked), wished_of(asked), scene_of(asked)
    tried = []
    for level in grid_c():
        standing = standing_at(wished, scene, level)
        spans = [
            (0, *range(low, high + 1))
            for low, high in zip(standing.program.least, standing.program.most, strict=True)
        ]
        fitting = (each for each in product(*spans) if fits(standing.program, each))
        tried.extend(worth_of(standing.program, counts) for counts in fitting)
    assert tried
    assert not any(better(worth, found.worth) for worth in tried)


@settings(max_examples=25, deadline=None)
@given(names=LISTS, change=st.floats(3.0, 60.0))
def test_every_stated_room_binds_and_no_other_does_alone(names, change) -> None:
    asked = wish(*names, change_l_per_week=change)
    found = chosen(asked)
    counts = {each.species: each.count for each in found.chosen}
    standing = standing_at(wished_of(asked), scene_of(asked), found.temperature_c)
    places = {room.name: index for index, room in enumerate(standing.rooms)}
    for room in found.rooms:
        lifted = [places[name] for name in (room.room, *room.together)]
        without = best(standing.program.without_room(*lifted)).worth
        assert room.binds is better(without, found.worth)
        if not room.binds:
            assert room.gain == Worth(0.0, 0.0, 0.0)
            continue
        for name in ("there", "met", "full"):
            gained = getattr(without, name) - getattr(found.worth, name)
            assert getattr(room.gain, name) == pytest.approx(gained, abs=1e-6)
        for name in room.together:  # not one of them is needless
            kept = [each for each in lifted if each != places[name]]
            assert not better(best(standing.program.without_room(*kept)).worth, found.worth)
    for room in (each for each in found.rooms if each.binds):
        inner = standing.rooms[places[room.room]]
        for more in room.one_more:
            raw = standing.raw(
                inner, {**counts, more.species: counts.get(more.species, 0) + more.count}
            )
            told = room.limit + more.lacking
            assert inner.told(raw) <= told * (1.0 + 1e-9) + 1e-9
            if more.lacking > 0.0:  # and not a drop less would do
                assert inner.told(raw) > room.limit + 0.999 * more.lacking


@settings(max_examples=20, deadline=None)
@given(names=LISTS, change=st.floats(3.0, 40.0))
def test_every_help_helps(names, change) -> None:
    """The change is made, the choice made again, and every wish left is met."""
    asked = wish(*names, change_l_per_week=change)
    for each in chosen(asked).helps:
        if each.key in ("none", "instead", "nobody"):
            continue
        told = each.arguments
        fewer = asked
        if each.key in {"two", "leave-out"}:
            fewer = replace(asked, animals=without(asked, told["name"]))
        if each.key == "two":
            each, told = told["then"], told["then"].arguments  # noqa: PLW2901 - what is left of it
            if each.key == "leave-out":
                fewer = replace(fewer, animals=without(fewer, told["name"]))
        assert helped(fewer, each.key, told), (each.key, told)


def without(asked: ChoiceWish, name: str) -> tuple[AnimalWish, ...]:
    return tuple(each for each in asked.animals if each.species != name)


def helped(asked: ChoiceWish, key: str, told) -> bool:
    plan = asked.plan
    if key == "cooler":
        cooled = replace(scene_of(asked), unheated_c=told["to_c"])
        return meets_all(wished_of(asked), cooled, None) is not None
    if key == "change":
        asked = replace(asked, change_l_per_week=told["amount"])
    elif key == "oxygen":
        asked = replace(asked, plan=replace(plan, air_flow_l_per_h=told["amount"] + 1e-6))
    elif key == "tank":
        asked = replace(asked, plan=replace(plan, box=enlarged(plan.box, told["times"])))
    elif key == "water":
        middle = {q: 0.5 * (told[q].low + told[q].high) for q in ("ph", "gh", "kh")}
        water = SharedWater(Span.exact(middle["ph"]), middle["gh"], middle["kh"], NITRATE)
        asked = replace(asked, water=water)
    else:
        assert key == "leave-out"
    found = chosen(asked)
    at_once = replace(asked, temperature_c=told["water_c"])
    return found.whole and found.worth.met == pytest.approx(1.0) and chosen(at_once).whole


@settings(max_examples=15, deadline=None)
@given(names=LISTS)
def test_reasons_stand_against_all_that_is_left_out(names) -> None:
    found = chosen(wish(*names))
    assert {each.species for each in found.chosen} | {each.species for each in found.left_out} == {
        find_animal(name).scientific_name for name in names
    }
    assert all(each.reasons for each in found.left_out)
    assert found.whole is (not found.left_out) or found.whole is False
    kept = {each.species for each in found.chosen}
    assert not [p for p in found.pairs if p.one in kept and p.other in kept]


def test_a_plan_made_of_a_choice_bears_out_what_was_promised() -> None:
    """Weekly change and oxygen of the blueprint are those of the choice; nobody breeds unasked."""
    asked = wish("Danio rerio", "Corydoras aeneus", change_l_per_week=12.0)
    found = chosen(asked)
    assert found.chosen
    plan = blueprint_of(plan_with(found))
    rooms = {room.room: room for room in found.rooms}
    assert plan.upkeep.weekly_change_l == pytest.approx(rooms["change"].used, rel=0.02)
    assert plan.upkeep.weekly_change_l <= 12.0 * 1.02
    assert plan.oxygen.stirred_mg_per_l >= plan.oxygen.wanted_mg_per_l - 0.05


def test_a_filter_at_hand_is_a_room_and_a_larger_one_helps() -> None:
    small = replace(PLAN, media_l=0.05, flow_l_per_h=300.0)
    found = chosen(wish("Danio rerio", plan=small, counts={"Danio rerio": 16}))
    rooms = {room.room: room for room in found.rooms}
    assert rooms["filter"].binds
    more = next(each for each in found.helps if each.key == "filter")
    large = replace(small, media_l=more.arguments["amount"] + 1e-6)
    assert chosen(wish("Danio rerio", plan=large, counts={"Danio rerio": 16})).whole


def test_every_load_falls_with_the_temperature() -> None:
    """So the coolest temperature at which the same kinds fit is never worse."""
    scene, animal = scene_of(wish("Danio rerio")), find_animal("Danio rerio")
    loads = [load_of_one(animal, scene, level) for level in (18.0, 22.0, 26.0, 30.0)]
    for name in ("food_g_per_d", "nitrate_mg_n_per_d", "ammonia_mg_n_per_d", "oxygen_mg_per_h"):
        told = [getattr(each, name) for each in loads]
        assert told == sorted(told)
    wished = wished_of(wish("Danio rerio"))
    shares = []
    for level in (18.0, 21.0, 24.0, 27.0):
        plan = replace(PLAN, media_l=0.3, flow_l_per_h=200.0)
        standing = standing_at(wished, scene_of(wish("Danio rerio", plan=plan)), level)
        shares.append([room.costs["Danio rerio"] / room.limit for room in standing.rooms])
    for room in range(4):
        told = [each[room] for each in shares]
        assert told == sorted(told)


ONE = CatalogueAnimal("Aus bus", kind="fish", temperature_c=Span(20, 26), typical_length_cm=10.0)
TWO = replace(ONE, scientific_name="Cus dus", adult_length_cm=Span(2.0, 4.0))
APART = {
    "choose-ranges-apart": (ONE, replace(TWO, temperature_c=Span(10, 18))),
    "choose-swallows": (replace(ONE, prey_share=0.25), TWO),
    "choose-nips": (replace(ONE, nips_fins=True), replace(TWO, easily_nipped=True)),
    "choose-hunts-snails": (replace(ONE, welfare=("hunts snails",)), replace(TWO, kind="snail")),
    "choose-kept-alone": (replace(ONE, welfare=("kept alone",)), TWO),
    "choose-both-bottom": (
        replace(ONE, territory="bottom", territory_cm2=2500.0),
        replace(TWO, territory="all", territory_cm2=2500.0),
    ),
    "choose-alike": (
        replace(ONE, territory="alike", territory_cm2=2500.0, family="Eidae"),
        replace(TWO, territory="own kind", territory_cm2=2500.0, family="Eidae"),
    ),
}


@pytest.mark.parametrize("key", APART)
def test_pairs_have_their_reason_whichever_comes_first(key: str) -> None:
    one, other = APART[key]
    scene = scene_of(wish("Danio rerio"))
    assert [each.key for each in between(one, other, scene)] == [key]
    assert [each.key for each in between(other, one, scene)] == [key]
    assert list(between(ONE, TWO, scene)) == []


def test_a_deep_body_is_swallowed_later_and_a_shell_never() -> None:
    scene, hunter = scene_of(wish("Danio rerio")), replace(ONE, prey_share=0.25)
    assert list(between(hunter, replace(TWO, form="deep-bodied fish"), scene)) == []
    assert list(between(hunter, replace(TWO, kind="snail"), scene)) == []


def test_groups_are_kept_and_told() -> None:
    danio = find_animal("Danio rerio")
    few, many = AnimalWish("Danio rerio", 2), AnimalWish("Danio rerio", 40)
    assert most_of(few, danio) == least_of(danio)
    assert most_of(many, danio) == 40
    found = chosen(wish("Danio rerio", counts={"Danio rerio": 2}))
    assert found.chosen[0].count == least_of(danio)
    assert "choose-group-raised" in [each.key for each in found.findings]


def test_water_size_and_warmth_are_told_apart() -> None:
    soft = SharedWater(Span(5.0, 5.5), 1.0, 0.5, NITRATE)
    keys = {r.key for left in chosen(wish("guppy", water=soft)).left_out for r in left.reasons}
    assert keys >= {"choose-water-low"}
    tiny = replace(PLAN, box=GlassBox("cube", 25.0, glass_mm=4.0))
    keys = {r.key for left in chosen(wish("goldfish", plan=tiny)).left_out for r in left.reasons}
    assert "choose-too-long" in keys
    hot = replace(PLAN, warmest_c=34.0)
    keys = {r.key for left in chosen(wish("goldfish", plan=hot)).left_out for r in left.reasons}
    assert "choose-hot-days" in keys
    keys = {r.key for e in chosen(wish("goldfish", temperature_c=30.0)).left_out for r in e.reasons}
    assert "choose-too-warm" in keys


def test_what_nobody_can_be_kept_in_is_refused() -> None:
    bitter = replace(WATER, nitrate_mg_n_per_l=12.0)
    for asked, key in (
        (wish("guppy", water=bitter), "choose-source-nitrate"),
        (wish(), "choose-no-wish"),
        (wish("guppy", plan=replace(PLAN, box=GlassBox())), "blueprint-missing"),
    ):
        with pytest.raises(CannotPlan) as caught:
            chosen(asked)
        assert key in [problem.key for problem in caught.value.problems]


def test_a_plan_counts_young_as_a_choice_does() -> None:
    """Six guppies: the week's change of the plan is what the choice says that they need."""
    asked = wish("guppy", counts={find_animal("guppy").scientific_name: 6}, temperature_c=25.0)
    (kind,) = chosen(asked).chosen
    plan = blueprint_of(plan_with(chosen(asked)))
    assert plan.filter.young_counted
    assert plan.filter.food_g_per_d == pytest.approx(kind.food_g_per_d)
    assert plan.upkeep.weekly_change_l == pytest.approx(kind.change_l_per_week)
    told = blueprint_of(replace(plan.wish, food_g_per_d=0.1))
    assert not told.filter.young_counted


@pytest.mark.parametrize(("over", "stands"), [(0.04, False), (0.06, True)])
def test_no_animal_is_left_out_for_a_ph_that_no_test_tells_apart(over: float, stands: bool) -> None:
    animal = find_animal("neon tetra")
    assert animal.ph is not None
    ph = Span.exact(animal.ph.high + over)
    scene = scene_of(wish("neon tetra", water=replace(WATER, tank_ph=ph)))
    told = [each for each in against_it(animal, scene) if each.arguments.get("quantity") == "ph"]
    assert bool(told) == stands
