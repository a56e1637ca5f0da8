"""A tank as it is made at a moment: what it was filled with, and what came or went since."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from watervane.records.events import FLOW, EquipmentChange, Event
from watervane.records.fittings import Bed, Filter, Media
from watervane.records.tank import Tank


def as_fitted(tank: Tank, last: date | None = None) -> Tank:
    """The description with every part as it is at the end of a day; of the last change by default.

    Parameters
    ----------
    tank
        With its log.
    last
        Local day.
    """
    for change in part_changes(tank):
        if last is not None and change.at.astimezone(ZoneInfo(tank.time_zone)).date() > last:
            break
        tank = fitted_with(tank, change)
    return tank


def part_changes(tank: Tank) -> Iterator[EquipmentChange]:
    """Changes of parts and of the filter's flow in the order of time."""
    changes = (each for each in tank.events if isinstance(each, EquipmentChange))
    found = [each for each in changes if each.fits or FLOW in each.changes]
    yield from sorted(found, key=lambda each: each.at)


def fitted_with(tank: Tank, change: EquipmentChange, assumed: tuple[Media, ...] = ()) -> Tank:
    """The description after a change.

    Parameters
    ----------
    tank
        Before it.
    change
        What is told of parts.
    assumed
        Media of a filter that nobody described.
    """
    if FLOW in change.changes:
        tank = replace(
            tank, filter=replace(tank.filter or Filter(), flow_l_per_h=change.changes[FLOW])
        )
    if change.plants is not None:
        tank = replace(tank, plants=change.plants)
    if change.media is not None:
        was = tank.filter or Filter()
        litres = {each.kind: 0.0 for each in was.media or assumed}
        for each in was.media or assumed:
            litres[each.kind] += each.volume_l
        litres |= {each.kind: each.volume_l for each in change.media}
        media = tuple(Media(kind, each) for kind, each in litres.items())
        there = tuple(each for each in media if each.volume_l > 0.0)
        tank = replace(tank, filter=replace(was, media=there or media))
    if (change.bed_material, change.bed_depth_cm, change.bed_grain_mm) != (None, None, None):
        tank = replace(tank, bed=_changed(tank.bed or Bed(), change))
    return tank


def _changed(bed: Bed, change: EquipmentChange) -> Bed:
    """Another material lies as deep as the old one did; of its grain nothing is known."""
    material = bed.material if change.bed_material is None else change.bed_material
    bare = "none" in (bed.material, material) and material != bed.material
    depth_cm = None if bare else bed.depth_cm
    grain_mm = bed.grain_mm if material == bed.material else None
    return Bed(
        material,
        depth_cm if change.bed_depth_cm is None else change.bed_depth_cm,
        grain_mm if change.bed_grain_mm is None else change.bed_grain_mm,
    )


def overruled(tank: Tank, *parts: str) -> Tank:
    """The tank without what its log tells of some parts, for whoever describes them anew."""
    return replace(tank, events=tuple(_without(tank, parts)))


def _without(tank: Tank, parts: tuple[str, ...]) -> Iterator[Event]:
    for event in tank.events:
        if not isinstance(event, EquipmentChange) or not event.fits:
            yield event
            continue
        gone: dict[str, Any] = dict.fromkeys(parts)
        left = replace(event, **gone)
        if left.fits or left.changes:
            yield left
