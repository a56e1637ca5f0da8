"""From a wish list to the best numbers of each, what binds, and what would help."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from watervane.planning.blueprint.shapes import CannotPlan
from watervane.planning.choosing.binding import rooms_used
from watervane.planning.choosing.fitting import (
    against_it,
    against_warmth,
    cautions_for,
    least_of,
    most_of,
)
from watervane.planning.choosing.helping import helps_for
from watervane.planning.choosing.others import kinds_that_fit
from watervane.planning.choosing.pairing import pair_reasons
from watervane.planning.choosing.program import Solution, best, better, fits
from watervane.planning.choosing.scene import Scene, load_of_one, scene_of
from watervane.planning.choosing.standing import (
    Standing,
    Wished,
    grid_c,
    standing_at,
    temperatures,
)
from watervane.records import (
    BlueprintWish,
    Choice,
    ChoiceWish,
    Chosen,
    Finding,
    Help,
    LeftOut,
    Wish,
)
from watervane.reference import CatalogueAnimal


def choice_of(wish: ChoiceWish, animals: Mapping[str, CatalogueAnimal]) -> Choice:
    """Choose.

    Parameters
    ----------
    wish
        Tank, water and wish list.
    animals
        The catalogue's row of each wish, by its scientific name.

    Raises
    ------
    CannotPlan
        Where the tank contradicts itself, nothing is wished for, or its water suits nobody.
    """
    if not wish.animals:
        raise CannotPlan([Finding("choose-no-wish", "problem", {})])
    scene = scene_of(wish)
    kinds = {each.species: animals[each.species] for each in wish.animals}
    wished = Wished(
        kinds, {each.species: each for each in wish.animals}, pair_reasons(kinds, scene)
    )
    standing, counts, solution = _best(wish, wished, scene)
    required = wished.required
    whole = all(counts.get(name, 0) >= need for name, need in required.items())
    return Choice(
        wish=wish,
        net_l=scene.net_l,
        length_cm=scene.length_cm,
        floor_cm2=scene.floor_cm2,
        temperature_c=standing.temperature_c,
        hottest_c=scene.hottest_c(standing.temperature_c),
        change_l_per_week=scene.change_l_per_week,
        chosen=_chosen(wished, scene, standing, counts),
        left_out=_left_out(wished, scene, standing, counts),
        pairs=wished.pairs,
        rooms=rooms_used(standing, counts, solution.worth),
        worth=solution.worth,
        whole=whole,
        helps=() if whole else _helps(wish, wished, scene, counts),
        findings=(
            *_untold(wish),
            *(
                caution
                for name in kinds
                if counts.get(name)
                for caution in cautions_for(wished.wishes[name], kinds[name], scene)
            ),
        ),
    )


def _helps(
    wish: ChoiceWish, wished: Wished, scene: Scene, counts: Mapping[str, int]
) -> tuple[Help, ...]:
    """What would help; where nobody can live here and no change would do, who could."""
    found = helps_for(wish, wished, scene)
    if counts or found[0].key != "none":
        return found
    names = kinds_that_fit(scene, wish.temperature_c)
    return (Help("instead", {"names": names}),) if names else (Help("nobody", {}),)


def _untold(wish: ChoiceWish) -> list[Finding]:
    water = wish.water
    told = (water.tank_ph, water.gh_dgh, water.kh_dkh)
    known = any(each is not None for each in told)
    return [] if known else [Finding("choose-water-untold", "caution", {})]


def plan_with(choice: Choice) -> BlueprintWish:
    """The tank's plan with the chosen animals at their temperature.

    Parameters
    ----------
    choice
        As chosen.
    """
    animals = tuple(Wish(each.species, each.count, each.length_cm) for each in choice.chosen)
    return replace(choice.wish.plan, animals=animals, water_c=choice.temperature_c)


def _best(
    wish: ChoiceWish, wished: Wished, scene: Scene
) -> tuple[Standing, dict[str, int], Solution]:
    """The best over all temperatures, then the temperature best for those chosen."""
    found: tuple[Standing, Solution] | None = None
    for level in temperatures(wished, scene, wish.temperature_c):
        standing = standing_at(wished, scene, level)
        solution = best(standing.program)
        if found is None or better(solution.worth, found[1].worth):
            found = standing, solution
    if found is None:
        raise ArithmeticError("no temperature was looked at")
    standing, solution = found
    counts = dict(zip(standing.names, solution.counts, strict=True))
    if wish.temperature_c is None and any(counts.values()):
        standing = _in_the_middle(wished, scene, standing, counts)
    return standing, {name: n for name, n in counts.items() if n}, solution


def _in_the_middle(
    wished: Wished, scene: Scene, coolest: Standing, counts: Mapping[str, int]
) -> Standing:
    """The temperature farthest from the ends of all ranges that the same numbers bear."""
    ranges = [wished.animals[name].temperature_c for name, count in counts.items() if count]
    known = [each for each in ranges if each is not None]
    if not known:
        return coolest
    low, high = max(each.low for each in known), min(each.high for each in known)
    levels = [level for level in grid_c() if level > coolest.temperature_c and level <= high]
    for level in sorted(levels, key=lambda each: (-min(each - low, high - each), each)):
        if min(level - low, high - level) <= coolest.temperature_c - low:
            break
        standing = standing_at(wished, scene, level)
        kept = all(name in standing.names for name, count in counts.items() if count)
        if kept and fits(standing.program, standing.counts(counts)):
            return standing
    return coolest


def _chosen(
    wished: Wished, scene: Scene, standing: Standing, counts: Mapping[str, int]
) -> tuple[Chosen, ...]:
    change = next(room for room in standing.rooms if room.name == "change")
    found = []
    for name, count in counts.items():
        animal = wished.animals[name]
        food = load_of_one(animal, scene, standing.temperature_c).food_g_per_d
        found.append(
            Chosen(
                species=name,
                count=count,
                least=least_of(animal),
                most=most_of(wished.wishes[name], animal),
                length_cm=animal.typical_length_cm or 5.0,
                food_g_per_d=count * food,
                change_l_per_week=count * change.costs[name],
            )
        )
    return tuple(found)


def _left_out(
    wished: Wished, scene: Scene, standing: Standing, counts: Mapping[str, int]
) -> tuple[LeftOut, ...]:
    found = []
    for name, animal in wished.animals.items():
        if counts.get(name):
            continue
        reasons = [
            *against_it(animal, scene),
            *against_warmth(animal, scene, standing.temperature_c),
            *_quarrels(wished, name, counts),
        ]
        reasons = reasons or _no_room(standing, name, least_of(animal), counts)
        found.append(LeftOut(name, least_of(animal), tuple(reasons)))
    return tuple(found)


def _quarrels(wished: Wished, name: str, counts: Mapping[str, int]) -> list[Finding]:
    return [
        pair.reason
        for pair in wished.pairs
        if (pair.one == name and counts.get(pair.other))
        or (pair.other == name and counts.get(pair.one))
    ]


def _no_room(standing: Standing, name: str, least: int, counts: Mapping[str, int]) -> list[Finding]:
    found = []
    for room in standing.rooms:
        raw = standing.raw(room, counts) + least * room.costs[name]
        lacking = room.lacking(raw)
        if lacking > 1e-5 * max(room.told(room.limit), 1e-9):
            told = {"name": name, "least": least, "lacking": lacking, "unit": room.unit}
            found.append(Finding(f"choose-no-{room.name}", "problem", told))
    return found
