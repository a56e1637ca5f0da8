"""Bed, media, flow and plants that came, went or were replaced on a day of their own.

What holds from then on is the geometry of the changed tank. Material that leaves takes its share
of the colonies along; what comes is bare, and counts as surface only as it grows over: a colony
that is no larger than the day before turns over no more for lying beside clean sponge. Plants
come small, as those of a new tank do. How much water the tank holds stays as it was.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from watervane.process.calendar import Calendar
from watervane.process.colony_care import WASTE_KEEPS, kept_share, seed_area_m2
from watervane.process.day_program import Action
from watervane.process.geometry import (
    PLANTED_SHARE,
    STOCK_OF_LIMESTONE_MMOL_PER_L,
    assumed_media,
    described_geometry,
)
from watervane.process.rates.nitrifiers import HABITATS
from watervane.records import Bed, Filter, Media, Seed, Tank, fitted_with, part_changes
from watervane.reference import media_surface_m2_per_m3, value

GROWN_OVER_D = 2.0 * value("bare_surface_half_grown_d").value
REPLACED_COVERED = 0.1  # of what is replaced by new: what is left of a colony spreads over it
HOUSING_M2 = 0.01  # walls and pipes of a filter that holds no media
_REPLACED = kept_share("kept_replaced")
_DECIDED = (
    "bed_area_m2",
    "filter_area_m2",
    "filter_flow_l_per_d",
    "carbonate_dissolution_mmol_per_l_d",
    "plant_ceiling_mg_n_per_l",
)


@dataclass(frozen=True)
class Growing:
    """A surface that is partly new: how much of it bore a colony, and when. [m2], [d]"""

    covered_m2: float
    since_d: float


@dataclass(frozen=True)
class Fit:
    """What a tank is made of from a moment on.

    Parameters
    ----------
    from_d
        [d]
    geometry
        Once everything has grown over; see `tank_geometry`.
    growing
        By habitat, what has not.
    """

    from_d: float
    geometry: Mapping[str, float]
    growing: Mapping[str, Growing]

    def at(self, at_d: float) -> dict[str, float]:
        """The geometry at a moment, with of new surface what has grown over by then."""
        areas = {}
        for habitat, grown in self.growing.items():
            name = f"{habitat}_area_m2"
            share = _grown_share(at_d - grown.since_d)
            areas[name] = grown.covered_m2 + (self.geometry[name] - grown.covered_m2) * share
        return {**self.geometry, **areas}


def _grown_share(age_d: float) -> float:
    """Of bare surface, slow at first and at last; half of it at half the time."""
    part = min(max(age_d / GROWN_OVER_D, 0.0), 1.0)
    return part * part * (3.0 - 2.0 * part)


def fits_of(
    tank: Tank, calendar: Calendar, filled: Mapping[str, float]
) -> Iterator[tuple[Fit, Action]]:
    """Every change of parts after the day of filling, and what it does at its moment.

    Parameters
    ----------
    tank
        With its log.
    calendar
        Of the tank.
    filled
        Geometry as filled; what changed on that day is in it.
    """
    begun_d = calendar.bounds_d(0)[1]
    now, fit = tank, Fit(0.0, filled, {})
    assumed = assumed_media(filled["volume_l"])
    for change in part_changes(tank):
        at_d = calendar.days(change.at)
        after = fitted_with(now, change, assumed)
        if at_d >= begun_d and (after.plants, after.bed, after.filter) != (
            now.plants,
            now.bed,
            now.filter,
        ):
            geometry = _geometry_after(after, fit.geometry)
            stay = {
                "bed": _bed_stays(now.bed, after.bed, fit.geometry, geometry),
                "filter": _media_stay(_media(now, assumed), _media(after, assumed)),
            }
            seeded = _seeded_m2(tank, calendar, at_d)
            growing = dict(_growing(fit, geometry, stay, seeded, at_d))
            action = _action(at_d, fit.geometry, geometry, stay)
            fit = Fit(at_d, geometry, growing)
            yield fit, action
        now = after


def _geometry_after(tank: Tank, before: Mapping[str, float]) -> dict[str, float]:
    """The geometry of another description in the same water and machines."""
    told, _ = described_geometry(replace(tank, volume_l=before["volume_l"]))
    geometry = {**before, **{name: told[name] for name in _DECIDED}}
    geometry["filter_area_m2"] = max(geometry["filter_area_m2"], HOUSING_M2)
    return geometry


def _media(tank: Tank, assumed: tuple[Media, ...]) -> dict[str, float]:
    """Litres by kind."""
    litres: dict[str, float] = {}
    for each in (tank.filter or Filter()).media or assumed:
        litres[each.kind] = litres.get(each.kind, 0.0) + each.volume_l
    return litres


def _media_stay(before: Mapping[str, float], after: Mapping[str, float]) -> float:
    """Share of the surface of the media that stays in the filter."""
    surface = {kind: litres * media_surface_m2_per_m3(kind) for kind, litres in before.items()}
    left = sum(
        surface[kind] * min(after.get(kind, 0.0) / litres, 1.0)
        for kind, litres in before.items()
        if litres > 0.0
    )
    whole = sum(surface.values())
    return left / whole if whole > 0.0 else 1.0


def _bed_stays(
    told: Bed | None, new: Bed | None, before: Mapping[str, float], after: Mapping[str, float]
) -> float:
    """Share of the grown surface of the bed that stays; a bare pane is covered, not taken out."""
    old, bed = told or Bed(), new or Bed()
    alike = (old.material, old.grain_mm) == (bed.material, bed.grain_mm)
    if old.material != "none" and not alike:
        return 0.0
    return min(after["bed_area_m2"] / before["bed_area_m2"], 1.0)


def _seeded_m2(tank: Tank, calendar: Calendar, at_d: float) -> dict[str, float]:
    """Mature surface that came on the day of a change, by habitat: it is not bare."""
    day = calendar.moment(at_d).date()
    areas: dict[str, float] = {}
    for event in tank.events:
        if not isinstance(event, Seed) or event.source == "bottle":
            continue
        if calendar.moment(calendar.days(event.at)).date() == day:
            area_m2, habitat = seed_area_m2(event)
            areas[habitat] = areas.get(habitat, 0.0) + area_m2
    return areas


def _growing(
    fit: Fit,
    after: Mapping[str, float],
    stay: Mapping[str, float],
    seeded_m2: Mapping[str, float],
    at_d: float,
) -> Iterator[tuple[str, Growing]]:
    """Surfaces that are partly bare from a moment on."""
    present = fit.at(at_d)
    for habitat, share in stay.items():
        name = f"{habitat}_area_m2"
        if share == 1.0 and after[name] == fit.geometry[name]:
            if habitat in fit.growing:
                yield habitat, fit.growing[habitat]
            continue
        kept = share * present[name]
        spread = REPLACED_COVERED * (1.0 - share) * after[name]
        survivors = _REPLACED.high * (1.0 - share) * present[name]
        covered = seeded_m2.get(habitat, 0.0) + max(kept, spread, survivors)
        if covered < after[name]:
            yield habitat, Growing(covered, at_d)


def _action(
    at_d: float,
    before: Mapping[str, float],
    after: Mapping[str, float],
    stay: Mapping[str, float],
) -> Action:
    """What leaves takes along, and what comes brings."""
    keep, add = {}, {}
    if stay["bed"] < 1.0:
        gone = 1.0 - stay["bed"]
        for name, row in (*WASTE_KEEPS.items(), ("faeces_nitrogen", WASTE_KEEPS["organic_matter"])):
            keep[name] = 1.0 - gone * (1.0 - value(row).value)
    ceilings = (before["plant_ceiling_mg_n_per_l"], after["plant_ceiling_mg_n_per_l"])
    if ceilings[1] < ceilings[0]:
        keep["plant_nitrogen"] = ceilings[1] / ceilings[0]
    chalk = [bool(each["carbonate_dissolution_mmol_per_l_d"]) for each in (before, after)]
    if chalk[0] != chalk[1]:
        keep["calcium_carbonate"] = 0.0
        add["calcium_carbonate"] = STOCK_OF_LIMESTONE_MMOL_PER_L * chalk[1]
    shares = [stay.get(habitat, 1.0) for habitat in HABITATS]
    return Action(
        at_d,
        {"planted_mg_n_per_l": PLANTED_SHARE * max(ceilings[1] - ceilings[0], 0.0)},
        {"keep": keep, "add": add},
        {
            "colony_keep_low": [max(share, _REPLACED.low) for share in shares],
            "colony_keep_high": [max(share, _REPLACED.high) for share in shares],
        },
    )
