"""Animals a plan is made for: held against it as a choice would, and warmed as they like."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.planning.blueprint.shapes import CannotPlan
from watervane.planning.blueprint.whole import blueprint_of
from watervane.planning.choosing.stock import against_stock, for_those_that_can, their_warmth_c
from watervane.planning.choosing.whole import choice_of, plan_with
from watervane.records import (
    AnimalWish,
    BedLayer,
    BlendedIn,
    Blueprint,
    BlueprintWish,
    Choice,
    ChoiceWish,
    Decor,
    GlassBox,
    OwnAnimal,
    SharedWater,
    SourceWater,
    Wish,
)
from watervane.reference import find_animal
from watervane.units import Span
from watervane.wording.choices import help_line

BOX = GlassBox(length_cm=120.0, width_cm=50.0, height_cm=50.0, glass_mm=12.0)
SMALL = GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0, glass_mm=8.0)
SOFT = SharedWater(Span(6.4, 6.9), 4.0, 2.0, 1.0)
NAMES = ("neon tetra", "guppy", "Corydoras aeneus", "angelfish", "goldfish", "cherry shrimp",
         "betta", "axolotl", "Danio rerio")  # fmt: skip


def against(plan) -> list:
    return [f for f in plan.findings if f.key.startswith("choose-") and f.severity == "problem"]


def test_an_angelfish_in_a_short_tank_of_hard_water_stands_against_the_plan() -> None:
    hard = SourceWater(gh_dgh=20.0, kh_dkh=12.0)
    told = (Wish("angelfish", 1), Wish("neon tetra", 12))
    plan = blueprint_of(BlueprintWish("x", SMALL, animals=told, source_water=hard))
    found = {(f.key, f.arguments.get("name") or f.arguments.get("one")) for f in against(plan)}
    angel, neon = "Pterophyllum scalare", "Paracheirodon innesi"
    assert ("choose-too-long", angel) in found
    assert ("choose-too-few", angel) in found
    assert ("choose-swallows", angel) in found
    assert ("choose-water-high", neon) in found


def test_names_of_one_kind_are_counted_together_and_strangers_not_at_all() -> None:
    told = (Wish("neon tetra", 6), Wish("Paracheirodon innesi", 4), Wish("no such beast", 1))
    plan = blueprint_of(BlueprintWish("x", BOX, animals=told, water_c=23.0))
    assert "choose-too-few" not in {f.key for f in against(plan)}
    fewer = blueprint_of(BlueprintWish("x", BOX, animals=told[:1], water_c=23.0))
    assert "choose-too-few" in {f.key for f in against(fewer)}


def test_own_rows_go_before_ours() -> None:
    own = (OwnAnimal("Danio rerio", {"tank_length_cm": "50", "group_min": "3"}),)
    wish = BlueprintWish("x", SMALL, animals=(Wish("zebra danio", 4),))
    keys = {f.key for f in against(blueprint_of(wish))}
    assert {"choose-too-long", "choose-too-few"} <= keys
    mine = BlueprintWish("x", SMALL, animals=wish.animals, own_animals=own)
    assert not {"choose-too-long", "choose-too-few"} & {f.key for f in against(blueprint_of(mine))}


@settings(max_examples=25, deadline=None)
@given(names=st.lists(st.sampled_from(NAMES), min_size=1, max_size=4, unique=True),
       small=st.booleans())  # fmt: skip
def test_nothing_stands_against_animals_that_were_chosen(names, small) -> None:
    """A choice and a plan judge by the same ranges, so neither contradicts the other."""
    animals = {find_animal(name).scientific_name: find_animal(name) for name in names}
    tank = BlueprintWish("x", SMALL if small else BOX, warmest_c=25.0)
    choice = choice_of(ChoiceWish(tank, tuple(map(AnimalWish, animals)), SOFT), animals)
    if not choice.chosen:
        return
    plan = plan_with(choice)
    found = [f for f in against_stock(plan, SOFT) if f.severity == "problem"]
    assert found == []


@pytest.mark.parametrize("names", [("Danio rerio",), ("neon tetra", "Corydoras aeneus"),
                                   ("goldfish",), ("betta",)])  # fmt: skip
def test_untold_water_is_as_warm_as_a_choice_would_have_it(names: tuple[str, ...]) -> None:
    animals = {find_animal(name).scientific_name: find_animal(name) for name in names}
    tank = BlueprintWish("x", BOX, warmest_c=22.0, animals=tuple(Wish(n, 20) for n in names))
    liked = their_warmth_c(tank)
    assert liked is not None
    for animal in animals.values():
        assert animal.temperature_c.low <= liked <= animal.temperature_c.high
    low = max(each.temperature_c.low for each in animals.values())
    high = min(each.temperature_c.high for each in animals.values())
    assert abs(liked - 0.5 * (low + high)) <= 0.25


def test_who_shares_no_temperature_decides_none() -> None:
    told = (Wish("axolotl", 1), Wish("betta", 1))
    assert their_warmth_c(BlueprintWish("x", BOX, animals=told)) is None
    assert their_warmth_c(BlueprintWish("x", BOX, animals=(Wish("no such beast", 1),))) is None
    assert their_warmth_c(BlueprintWish("x", BOX)) is None


def test_where_nobody_can_live_the_kinds_offered_can() -> None:
    """Each asked for by itself is met with its least group, in the same tank and water."""
    tiny = BlueprintWish("x", GlassBox(length_cm=40.0, width_cm=25.0, height_cm=25.0, glass_mm=6.0))
    water = SharedWater(Span(7.4, 8.1), 8.0, 4.0, 2.0)

    def chosen(*names: str) -> Choice:
        animals = {n: find_animal(n) for n in names}
        return choice_of(ChoiceWish(tiny, tuple(map(AnimalWish, names)), water), animals)

    nobody = chosen("Carassius auratus", "Ambystoma mexicanum")
    (offered,) = nobody.helps
    assert not nobody.chosen
    assert offered.key == "instead"
    assert offered.arguments["names"]
    for name in offered.arguments["names"]:
        assert [each.species for each in chosen(name).chosen] == [name]
        assert "outgrows" not in find_animal(name).welfare
    assert "by itself: " in help_line(offered)
    assert "_" not in help_line(offered)


def test_every_contradiction_of_a_wish_is_told_at_once() -> None:
    wish = BlueprintWish(
        "x", GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0, water_depth_cm=50.0),
        coldest_c=30.0, warmest_c=10.0, media="cheese", target_ammonia_mg_n_per_l=0.01,
        decor=(Decor("gold", 1.0),), way="prayer",
    )  # fmt: skip
    with pytest.raises(CannotPlan) as caught:
        blueprint_of(wish)
    keys = [each.key for each in caught.value.problems]
    assert sorted(keys) == [
        "blueprint-decor-unknown", "blueprint-depth-above", "blueprint-media-unknown",
        "blueprint-room", "blueprint-target-low", "blueprint-way-unknown",
    ]  # fmt: skip


def planned_for(tank: BlueprintWish, *wishes: AnimalWish) -> Blueprint:
    animals = {name: find_animal(name) for name in (each.species for each in wishes)}
    choice = choice_of(ChoiceWish(tank, wishes, SharedWater()), animals)
    return blueprint_of(for_those_that_can(tank, choice, warmth_told=False))


def test_load_list_and_days_are_for_those_that_can_live_in_it() -> None:
    told = (Wish("zebra danio", 8), Wish("goldfish", 2), Wish("no such beast", 1))
    tank = BlueprintWish("x", BOX, animals=told, warmest_c=24.0)
    plan = planned_for(tank, AnimalWish("Danio rerio", 8), AnimalWish("Carassius auratus", 2))
    named = {each.species for batch in plan.timeline.batches for each in batch.animals}
    assert named == {"zebra danio", "no such beast"}
    assert plan.wish.wanted == told
    assert against(plan)[0].key == "choose-fewer"
    assert ("choose-too-long", "Carassius auratus") in {
        (f.key, f.arguments.get("name")) for f in against(plan)
    }
    both = blueprint_of(tank)
    assert plan.filter.food_g_per_d < 0.5 * both.filter.food_g_per_d


def test_where_none_can_live_in_it_no_day_is_laid_out_for_any() -> None:
    box = GlassBox("cube", length_cm=20.0, glass_mm=6.0)
    tank = BlueprintWish("x", box, animals=(Wish("goldfish", 3),))
    plan = planned_for(tank, AnimalWish("Carassius auratus", 3))
    assert plan.timeline.batches == ()
    keys = {step.key for step in plan.timeline.steps}
    assert not keys & {"first-animals", "later-animals", "last-dose"}
    assert against(plan)[0].key == "choose-nobody-fits"


def test_where_all_can_live_in_it_they_are_planned_for_as_wished() -> None:
    told = (Wish("zebra danio", 8, 3.5),)
    tank = BlueprintWish("x", BOX, animals=told, warmest_c=24.0)
    plan = planned_for(tank, AnimalWish("Danio rerio", 8))
    assert (plan.wish.animals, plan.wish.wanted) == (told, ())
    assert against(plan) == []


def test_a_kind_that_only_lacks_room_is_told_so_in_the_plan() -> None:
    told = (Wish("Danio rerio", 8), Wish("Corydoras aeneus", 8))
    tank = BlueprintWish("x", BOX, animals=told, warmest_c=24.0)
    asked = tuple(AnimalWish(name, 8) for name in ("Danio rerio", "Corydoras aeneus"))
    animals = {each.species: find_animal(each.species) for each in asked}
    choice = choice_of(ChoiceWish(tank, asked, SharedWater(), 25.0), animals)
    (left,) = choice.left_out
    kept = for_those_that_can(tank, choice, warmth_told=False)
    assert {each.arguments["name"] for each in kept.no_room} == {left.species}
    plan = blueprint_of(kept)
    assert list(kept.no_room) == [f for f in against(plan) if f.key.startswith("choose-no-")]


def test_the_bed_planned_is_held_against_who_digs_in_it() -> None:
    told = (Wish("Corydoras aeneus", 8), Wish("axolotl", 1))
    on_gravel = BlueprintWish("x", BOX, animals=told, lid=False)
    found = {f.key: f.arguments for f in against_stock(on_gravel, SOFT)}
    assert found["choose-wants-sand"]["name"] == "Corydoras aeneus"
    assert found["choose-swallows-grains"]["name"] == "Ambystoma mexicanum"
    assert "sand" not in found["choose-needs"]["needs"]
    on_sand = replace(on_gravel, layers=(BedLayer("gravel"), BedLayer("sand", 2.0, 2.0)))
    keys = {f.key for f in against_stock(on_sand, SOFT)}
    assert "choose-needs" in keys
    assert not keys & {"choose-wants-sand", "choose-swallows-grains"}


def test_a_stand_does_not_carry_itself() -> None:
    plan = blueprint_of(BlueprintWish("x", BOX, stand_kg=30.0))
    (stand,) = [each for each in plan.shopping if each.key == "stand"]
    assert stand.arguments["carried_kg"] == pytest.approx(plan.total_kg - 30.0)
    assert plan.floor.total_kg == pytest.approx(plan.total_kg)


def test_a_blend_in_no_bed_is_refused() -> None:
    none = BedLayer("none", 0.0, 0.0, None, BlendedIn("sand", 0.3))
    with pytest.raises(CannotPlan) as caught:
        blueprint_of(BlueprintWish("x", BOX, layers=(none, BedLayer("gravle"))))
    keys = [each.key for each in caught.value.problems]
    assert keys == ["blueprint-bed-none-blended", "blueprint-bed-unknown"]
