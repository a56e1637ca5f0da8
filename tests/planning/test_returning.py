"""The way back from long neglect: laws that hold whatever the water."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.mixing import Water
from watervane.limits import Limit, limits_for
from watervane.planning.returning import (
    Daily,
    StepLimits,
    WayBack,
    conductivity_of,
    drifted,
    harmless,
    moved_by,
    way_back,
)
from watervane.units.conversions import CHLORINE, MEQ_PER_L_PER_DKH, MMOL_PER_L_PER_DGH, NITROGEN

USUAL = 0.25
FREE_MG_N_PER_L = 0.0411  # what hardy fish bear for long
LIMITS = StepLimits(
    ammonia=tuple(each for each in limits_for(["Danio rerio"]) if each.subject == "ammonia"),
    nitrate_mg_n_per_l=10.0,
)


def _water(
    ph: float, kh: float, ammonia: float = 0.0, nitrate: float = 2.0, gh: float = 8.0
) -> Water:
    one = np.ones(1)
    alkalinity, minerals = kh * MEQ_PER_L_PER_DKH, gh * MMOL_PER_L_PER_DGH
    anions = alkalinity + 20.0 / CHLORINE + nitrate / NITROGEN
    over = anions - 2.0 * minerals - ammonia / NITROGEN
    water = Water(
        temperature_c=25.0 * one,
        alkalinity_meq_per_l=alkalinity * one,
        inorganic_carbon_mmol_per_l=0.0 * one,
        ionic_strength_mol_per_l=0.005 * one,
        ammonia_mg_n_per_l=ammonia * one,
        nitrate_mg_n_per_l=nitrate * one,
        calcium_mmol_per_l=0.75 * minerals * one,
        magnesium_mmol_per_l=0.25 * minerals * one,
        sodium_mmol_per_l=max(over, 0.0) * one,
        chloride_mg_per_l=(20.0 + CHLORINE * max(-over, 0.0)) * one,
    )
    return water.with_ph(ph * one)


TAP = _water(7.7, 6.0)
PH, KH = st.floats(5.6, 7.2), st.floats(0.05, 5.5)
AMMONIA, NITRATE = st.floats(0.0, 10.0), st.floats(2.0, 80.0)


def _walked(tank: Water, tap: Water, way: WayBack) -> list[dict[str, float]]:
    """Every step worked out anew from its shares alone."""
    found = []
    for step in way.steps:
        assert step.water in {"soft", "tap"}
        moved = step.moved
        kept = 1.0 - step.share
        tan = kept * float(step.before.ammonia_mg_n_per_l[0])
        free = tan * float(free_ammonia_fraction(moved.highest_ph[0], 25.0))
        rise = step.share * (
            step.tap_share * tap.alkalinity_meq_per_l[0] - step.before.alkalinity_meq_per_l[0]
        )
        was = float(conductivity_of(step.before)[0])
        found.append({
            "kh": float(rise) / MEQ_PER_L_PER_DKH,
            "ph": abs(float(moved.highest_ph[0]) - float(step.before.ph[0])),
            "conductivity": abs(float(conductivity_of(moved.after)[0]) / was - 1.0),
            "free": free,
            "free_before": float(step.before.ammonia_mg_n_per_l[0])
            * float(free_ammonia_fraction(step.before.ph[0], 25.0)),
        })  # fmt: skip
    return found


@settings(max_examples=15)
@given(ph=PH, kh=KH, ammonia=AMMONIA, nitrate=NITRATE)
def test_no_step_passes_a_limit_and_the_end_is_reached(
    ph: float, kh: float, ammonia: float, nitrate: float
) -> None:
    tank = _water(ph, kh, ammonia, nitrate)
    way = way_back(tank, TAP, LIMITS, USUAL)
    for seen in _walked(tank, TAP, way):
        assert seen["kh"] <= 1.0 + 1e-6
        assert seen["ph"] <= 0.5 + 1e-6
        assert seen["conductivity"] <= 0.15 + 1e-6
        assert seen["free"] <= max(FREE_MG_N_PER_L, seen["free_before"]) + 1e-6
    assert way.reached
    assert drifted(way.end, TAP, LIMITS, USUAL) == ()
    assert float(way.end.nitrate_mg_n_per_l[0]) <= 10.0


@pytest.mark.slow
@settings(max_examples=12)
@given(
    ph=PH,
    kh=KH,
    ammonia=AMMONIA,
    nitrate=NITRATE,
    worse=st.sampled_from(["kh", "nitrate", "ammonia"]),
    by=st.floats(1.05, 4.0),
)
def test_more_drift_never_takes_fewer_days(
    ph: float, kh: float, ammonia: float, nitrate: float, worse: str, by: float
) -> None:
    """At the same carbon dioxide pH follows KH.

    Water with less KH conducts less: where that brings it nearer to the tap it drifted less in
    what its animals feel of salts, and may be back sooner.
    """
    co2_kept = ph - np.log10(kh)
    more = {
        "kh": (co2_kept + np.log10(kh / by), kh / by, ammonia, nitrate),
        "nitrate": (ph, kh, ammonia, nitrate * by),
        "ammonia": (ph, kh, ammonia * by, nitrate),
    }[worse]
    waters = [_water(*water) for water in ((ph, kh, ammonia, nitrate), more)]
    gaps = [abs(float(conductivity_of(w)[0] / conductivity_of(TAP)[0]) - 1.0) for w in waters]
    assume(gaps[1] >= gaps[0])
    days = [way_back(water, TAP, LIMITS, USUAL).days for water in waters]
    assert days[0] <= days[1], (days, worse)


@given(ph=st.floats(7.3, 7.9), kh=st.floats(4.5, 7.0), nitrate=st.floats(0.0, 10.0))
def test_without_drift_there_are_no_steps(ph: float, kh: float, nitrate: float) -> None:
    way = way_back(_water(ph, kh, 0.02, nitrate), TAP, LIMITS, USUAL)
    assert way.reached
    assert way.steps == ()


def test_ammonium_is_thinned_before_kh_is_lifted() -> None:
    way = way_back(_water(5.9, 0.1, 14.0, 60.0), TAP, LIMITS, USUAL)
    waters = [step.water for step in way.steps]
    assert waters[0] == "soft"
    assert waters == sorted(waters)  # soft, then tap, never back
    soft = [step for step in way.steps if step.water == "soft"]
    first, last = soft[0].before, soft[-1].moved.after
    assert float(last.ammonia_mg_n_per_l[0]) < 0.9 * float(first.ammonia_mg_n_per_l[0])
    risen = float(last.alkalinity_meq_per_l[0] - first.alkalinity_meq_per_l[0])
    assert risen <= 0.0
    # The careless way, a half with tap water at once, frees more ammonia than anybody bears.
    assert not harmless(first, TAP, LIMITS, 0.5)
    careless = moved_by(first, TAP, 0.5, LIMITS)
    free = 0.5 * 14.0 * float(free_ammonia_fraction(careless.highest_ph[0], 25.0))
    assert free > FREE_MG_N_PER_L
    worst = max(seen["free"] for seen in _walked(first, TAP, way))
    assert worst < FREE_MG_N_PER_L
    assert float(careless.ratios["kh"][0]) > 1.0


def test_without_pure_water_the_steps_are_still_harmless() -> None:
    tank = _water(6.0, 0.3, 12.0, 60.0)
    way = way_back(tank, TAP, LIMITS, USUAL, soft=False)
    assert all(step.water == "tap" for step in way.steps)
    assert all(seen["free"] <= FREE_MG_N_PER_L + 1e-6 for seen in _walked(tank, TAP, way))
    both = way_back(tank, TAP, LIMITS, USUAL)
    assert both.reached
    assert not way.reached or both.days <= way.days


def test_a_load_that_goes_on_is_counted() -> None:
    tank = _water(6.0, 0.3, 6.0, 40.0)
    rest = way_back(tank, TAP, LIMITS, USUAL)
    fed = way_back(tank, TAP, LIMITS, USUAL, Daily(0.3, -0.01, 0.0))
    assert fed.days >= rest.days


def test_a_stricter_limit_never_takes_fewer_days() -> None:
    tank = _water(6.2, 0.4, 3.0, 50.0)
    strict = StepLimits(0.5, 0.25, 0.08, LIMITS.ammonia, 10.0)
    assert way_back(tank, TAP, strict, USUAL).days > way_back(tank, TAP, LIMITS, USUAL).days


@pytest.mark.parametrize("nitrate", [20.0, 40.0])
def test_a_tap_that_is_no_better_is_not_waited_for(nitrate: float) -> None:
    tap = _water(7.7, 6.0, 0.0, nitrate)
    way = way_back(_water(6.4, 1.0, 0.1, 60.0), tap, LIMITS, USUAL)
    assert way.reached
    assert float(way.end.nitrate_mg_n_per_l[0]) <= 1.2 * nitrate


def test_limits_are_of_ammonia() -> None:
    assert all(isinstance(each, Limit) for each in LIMITS.ammonia)
    assert len(LIMITS.ammonia) >= 4
