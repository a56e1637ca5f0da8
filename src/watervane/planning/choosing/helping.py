"""What would help where not every wish can be met: single changes, else two of them.

Each is found by asking again with the change made, so each that is told does help.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from watervane.planning.blueprint.heating import BEARABLE_RISE_C
from watervane.planning.blueprint.shapes import CannotPlan
from watervane.planning.choosing.fitting import WATERS, range_of
from watervane.planning.choosing.scene import Scene, scene_of
from watervane.planning.choosing.standing import (
    Wished,
    coolest_for_all_c,
    meets_all,
    standing_at,
)
from watervane.records import ChoiceWish, GlassBox, Help, SharedWater
from watervane.units import Span

LARGEST = 2.5  # times as long, wide and high as the tank wished for
LARGER_STEPS = 8  # of halving towards the least tank that helps
MOST_CHANGE_SHARE = 0.6  # of the water a week: more is no plan
MOST_TOLD = 6


def helps_for(wish: ChoiceWish, wished: Wished, scene: Scene) -> tuple[Help, ...]:
    """Changes any one of which lets every wish left be met.

    Parameters
    ----------
    wish
        As told.
    wished
        Animals and wishes.
    scene
        The tank.

    Returns
    -------
    tuple of Help
        Single changes; where none is enough, one kind left out and one change more; else ``none``.
    """
    singles = [*_changes(wish, wished, scene), *_leaving_one(wish, wished, scene)]
    if singles:
        return tuple(singles)
    doubles: list[Help] = []
    for name in wished.animals:
        fewer = wished.without(name)
        if not fewer.animals:
            continue
        for other in (*_changes(wish, fewer, scene), *_leaving_one(wish, fewer, scene)):
            told = {"name": name, "key": other.key, **{f"then_{k}": v for k, v in _told(other)}}
            if not _said(doubles, name, other):
                doubles.append(Help("two", {**told, "then": other}))
        if len(doubles) >= MOST_TOLD:
            break
    return tuple(doubles[:MOST_TOLD]) or (Help("none", {}),)


def _told(help_: Help) -> list[tuple[str, object]]:
    return list(help_.arguments.items())


def _said(doubles: list[Help], name: str, other: Help) -> bool:
    """Whether leaving out the same two has been told the other way round."""
    pair = {name, other.arguments.get("name")}
    return other.key == "leave-out" and any(
        {each.arguments["name"], each.arguments.get("then_name")} == pair for each in doubles
    )


def _leaving_one(wish: ChoiceWish, wished: Wished, scene: Scene) -> Iterator[Help]:
    if len(wished.animals) < 2:
        return
    for name in wished.animals:
        level = meets_all(wished.without(name), scene, wish.temperature_c)
        if level is not None:
            yield Help("leave-out", {"name": name, "water_c": level})


def _changes(wish: ChoiceWish, wished: Wished, scene: Scene) -> Iterator[Help]:
    """All but leaving a kind out."""
    yield from _temperature(wish, wished, scene)
    yield from _room(wish, wished, scene)
    yield from _water(wish, wished, scene)
    yield from _cooler(wish, wished, scene)
    yield from _tank(wish, wished)


def _temperature(wish: ChoiceWish, wished: Wished, scene: Scene) -> Iterator[Help]:
    if wish.temperature_c is None:
        return
    level = meets_all(wished, scene, None)
    if level is not None:
        yield Help("temperature", {"water_c": level})


def _room(wish: ChoiceWish, wished: Wished, scene: Scene) -> Iterator[Help]:
    """One room made larger: more change, more media, more flow, more air."""
    level = coolest_for_all_c(wished, scene, wish.temperature_c)
    if level is None or wished.pairs:
        return
    standing = standing_at(wished, scene, level)
    lacking = [(room, room.lacking(standing.raw(room, wished.required))) for room in standing.rooms]
    short = [(room, amount) for room, amount in lacking if amount > 0.0]
    if len(short) != 1 or short[0][0].name == "floor":
        return
    room, amount = short[0]
    whole = room.told(standing.raw(room, wished.required))
    if room.name == "change" and whole > MOST_CHANGE_SHARE * scene.net_l:
        return
    told = {"amount": whole, "more": amount, "unit": room.unit, "water_c": level}
    yield Help(room.name, told)


def _water(wish: ChoiceWish, wished: Wished, scene: Scene) -> Iterator[Help]:
    """Another water that suits all, in the middle of what all of them want."""
    shared = {quantity: _shared(wished, quantity) for quantity in WATERS}
    if any(span is None for span in shared.values()):
        return
    middle = {q: 0.5 * (span.low + span.high) for q, span in shared.items() if span is not None}
    water = SharedWater(
        tank_ph=Span.exact(middle["ph"]),
        gh_dgh=middle["gh"],
        kh_dkh=middle["kh"],
        nitrate_mg_n_per_l=wish.water.nitrate_mg_n_per_l,
    )
    level = meets_all(wished, replace(scene, water=water), wish.temperature_c)
    if level is not None:
        yield Help("water", {**shared, "water_c": level})


def _shared(wished: Wished, quantity: str) -> Span | None:
    spans = [range_of(each, quantity) for each in wished.animals.values()]
    known = [span for span in spans if span is not None]
    if not known:
        return None
    low, high = max(s.low for s in known), min(s.high for s in known)
    return Span(low, high) if low <= high else None


def _cooler(wish: ChoiceWish, wished: Wished, scene: Scene) -> Iterator[Help]:
    highs = [each.temperature_c.high for each in wished.animals.values() if each.temperature_c]
    if not highs or scene.unheated_c <= min(highs) + BEARABLE_RISE_C:
        return
    cooled = replace(scene, unheated_c=min(highs) + BEARABLE_RISE_C)
    level = meets_all(wished, cooled, wish.temperature_c)
    if level is not None:
        told = {"to_c": cooled.unheated_c, "hottest_c": scene.unheated_c, "water_c": level}
        yield Help("cooler", told)


def _tank(wish: ChoiceWish, wished: Wished) -> Iterator[Help]:
    """The least tank of the same proportions that is large enough."""
    if wished.pairs or _larger(wish, wished, LARGEST) is None:
        return
    low, high = 1.0, LARGEST
    for _ in range(LARGER_STEPS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if _larger(wish, wished, middle) else (middle, high)
    found = _larger(wish, wished, high)
    if found is not None:
        scene = found[0]
        told = {"net_l": scene.net_l, "length_cm": scene.length_cm, "times": high}
        yield Help("tank", {**told, "water_c": found[1]})


def _larger(wish: ChoiceWish, wished: Wished, times: float) -> tuple[Scene, float] | None:
    plan = replace(wish.plan, box=enlarged(wish.plan.box, times))
    try:
        scene = scene_of(replace(wish, plan=plan))
    except CannotPlan:
        return None
    level = meets_all(wished, scene, wish.temperature_c)
    return None if level is None else (scene, level)


def enlarged(box: GlassBox, times: float) -> GlassBox:
    """The same box, all its sizes so many times as large; glass as it is.

    Parameters
    ----------
    box
        As told.
    times
        [-]
    """
    names = ("length_cm", "width_cm", "height_cm", "bow_cm", "return_cm", "water_depth_cm")
    sizes: dict[str, Any] = {
        name: None if getattr(box, name) is None else times * getattr(box, name) for name in names
    }
    corners = tuple((times * x, times * y) for x, y in box.corners_cm)
    return replace(box, **sizes, corners_cm=corners)
