"""What stays, what leaves and what is bare when bed, media or plants change on a day."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest

from watervane.process.day_program import Action, pieces_of
from watervane.process.fits import GROWN_OVER_D, Fit
from watervane.process.geometry import tank_geometry
from watervane.process.run import plan_days
from watervane.process.timeline import Timeline, timeline
from watervane.records import (
    Bed,
    EquipmentChange,
    Filter,
    Media,
    Seed,
    Tank,
    as_fitted,
    overruled,
)

BARE = Tank(name="t", filled=date(2026, 3, 1), volume_l=60.0, bed=Bed("gravel", 3.0))
SPONGE = replace(BARE, filter=Filter((Media("sponge", 0.4),)))


def changed(tank: Tank = SPONGE, *more: Any, day: int = 11, **told: Any) -> Timeline:
    change = EquipmentChange(at=datetime(2026, 3, day, 12, tzinfo=UTC), **told)
    return timeline(replace(tank, events=(*more, change)), 60)


def only(line: Timeline) -> tuple[Fit, Action]:
    (fit,) = line.fits
    (action,) = (each for each in line.actions if each.at_d == fit.from_d)
    return fit, action


def kept(action: Action) -> list[float]:
    assert action.habitats["colony_keep_low"] == pytest.approx(
        action.habitats["colony_keep_high"], abs=0.02
    )
    return list(action.habitats["colony_keep_low"])  # bed, filter, surface


def test_media_that_come_leave_every_colony_where_it_is_and_are_bare() -> None:
    line = changed(media=(Media("ceramic", 1.0),))
    fit, action = only(line)
    assert kept(action) == [1.0, 1.0, 1.0]
    both = replace(SPONGE, filter=Filter((Media("sponge", 0.4), Media("ceramic", 1.0))))
    whole, was = (tank_geometry(each)[0]["filter_area_m2"] for each in (both, SPONGE))
    areas = [line.geometry_at(at)["filter_area_m2"] for at in (10.4, 10.6, 24.5, 39.6, 60.0)]
    assert areas[:2] == [was, was]
    assert was < areas[2] < whole
    assert areas[3:] == [whole, whole]
    assert np.isclose(areas[2], 0.5 * (was + whole), rtol=0.05)  # after a fortnight
    assert fit.at(fit.from_d + GROWN_OVER_D) == fit.geometry


def test_media_that_leave_take_their_share_and_all_of_them_nearly_all() -> None:
    _, half = only(changed(media=(Media("sponge", 0.2),)))
    assert kept(half) == [1.0, 0.5, 1.0]
    line = changed(media=(Media("sponge", 0.0),))
    _, none = only(line)
    assert kept(none)[1] == 0.0
    assert none.habitats["colony_keep_high"][1] == 0.02
    assert line.geometry_at(59.0)["filter_area_m2"] > 0.0


def test_an_assumed_filter_is_what_media_are_added_to() -> None:
    fit, action = only(changed(BARE, media=(Media("ceramic", 1.0),)))
    assert kept(action) == [1.0, 1.0, 1.0]
    assert fit.geometry["filter_area_m2"] > fit.growing["filter"].covered_m2
    assert fit.growing["filter"].covered_m2 == tank_geometry(BARE)[0]["filter_area_m2"]


def test_flow_as_measured_holds_from_then_on_and_nothing_is_new() -> None:
    line = changed(changes={"filter_flow_l_per_h": 150.0})
    fit, action = only(line)
    assert kept(action) == [1.0, 1.0, 1.0]
    assert not fit.growing
    parted = {name for name in fit.geometry if fit.geometry[name] != line.geometry[name]}
    assert parted == {"filter_flow_l_per_d"}
    assert line.geometry_at(59.0)["filter_flow_l_per_d"] == 150.0 * 24.0


def test_mature_media_of_the_same_day_are_not_bare() -> None:
    seed = Seed(at=datetime(2026, 3, 11, 9, tzinfo=UTC), kind="ceramic", volume_l=1.0)
    line = changed(SPONGE, seed, media=(Media("ceramic", 1.0),))
    assert not line.fits[0].growing
    assert line.geometry_at(10.6) == line.geometry_at(59.0)


@pytest.mark.parametrize(
    ("told", "bed_kept"),
    [
        ({"bed_depth_cm": 6.0}, 1.0),  # bare gravel on the old
        ({"bed_depth_cm": 1.0}, 0.5),  # of the two centimetres that are alive
        ({"bed_material": "sand"}, 0.0),
        ({"bed_grain_mm": 5.0}, 0.0),
        ({"bed_material": "none"}, 0.0),
    ],
)
def test_a_bed_keeps_what_stays_of_it(told: dict[str, Any], bed_kept: float) -> None:
    line = changed(**told)
    if not line.fits:
        pytest.fail("nothing changed")
    _, action = only(line)
    assert kept(action) == [pytest.approx(bed_kept), 1.0, 1.0]
    waste = action.vectors["keep"].get("faeces_nitrogen", 1.0)
    assert (waste < 1.0) == (bed_kept < 1.0)


def test_plants_come_small_and_leave_with_their_nitrogen() -> None:
    few, many = (tank_geometry(replace(SPONGE, plants=p))[0] for p in ("few", "many"))
    ceiling = "plant_ceiling_mg_n_per_l"
    _, planted = only(changed(plants="few"))
    assert planted.scalars["planted_mg_n_per_l"] == pytest.approx(0.5 * few[ceiling])
    _, thinned = only(changed(replace(SPONGE, plants="many"), plants="few"))
    assert thinned.scalars["planted_mg_n_per_l"] == 0.0
    assert thinned.vectors["keep"]["plant_nitrogen"] == pytest.approx(few[ceiling] / many[ceiling])


def test_limestone_brings_its_stock_and_takes_it_away() -> None:
    line = changed(bed_material="limestone")
    fit, action = only(line)
    assert fit.geometry["carbonate_dissolution_mmol_per_l_d"] > 0.0
    assert action.vectors["add"]["calcium_carbonate"] > 0.0
    _, gone = only(changed(replace(SPONGE, bed=Bed("limestone")), bed_material="gravel"))
    assert gone.vectors["keep"]["calcium_carbonate"] == 0.0


def test_what_changes_nothing_makes_no_row_and_size_and_machines_stay() -> None:
    line = changed(media=(Media("sponge", 0.4),), plants="none", bed_depth_cm=3.0)
    assert not line.fits
    fit, _ = only(changed(bed_depth_cm=9.0, media=(Media("foam", 2.0),)))
    moved = {name for name, value in fit.geometry.items() if value != line.geometry[name]}
    assert moved == {"filter_area_m2"}


def test_a_day_is_cut_where_parts_change_and_other_days_are_not() -> None:
    line = changed(media=(Media("ceramic", 1.0),), plants="many")
    before, on, after = (plan_days(line, (day, day + 1))[0].pieces for day in (9, 10, 11))
    assert (len(before), len(on), len(after)) == (1, 2, 1)
    assert sum(piece.count for piece in on) >= before[0].count
    assert not np.array_equal(on[0].geometry, on[1].geometry)
    assert pieces_of(10, (), apart=(4, 7)) == [(0, 4), (4, 7), (7, 10)]


def test_the_description_of_a_day_and_what_overrules_it() -> None:
    line = changed(media=(Media("ceramic", 1.0),), bed_material="sand", plants="few")
    assert as_fitted(line.tank, date(2026, 3, 10)) == line.tank
    now = as_fitted(line.tank)
    assert (now.plants, now.bed) == ("few", Bed("sand", 3.0))
    assert now.filter == Filter((Media("sponge", 0.4), Media("ceramic", 1.0)))
    planted = overruled(line.tank, "plants")
    assert as_fitted(planted).plants == "none"
    assert as_fitted(planted).bed == now.bed
    assert overruled(planted, "media", "bed_material").events == ()
