"""Reports: what is missing is worked out, what cannot be is refused with what would help."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.planning.waters.fitting import suited
from watervane.planning.waters.ions import aired, charge_meq_per_l
from watervane.planning.waters.plan import AtHand, as_source_water, source_plan
from watervane.planning.waters.report import CannotRead, read_report
from watervane.records import SaltAtHand, SharedWater, Span, WaterReport, WaterTarget
from watervane.reference import catalogue

FULL = WaterReport(
    "tap",
    calcium_mg_per_l=82.0,
    magnesium_mg_per_l=18.7,
    sodium_mg_per_l=6.0,
    potassium_mg_per_l=1.6,
    chloride_mg_per_l=7.8,
    sulfate_mg_per_l=71.0,
    nitrate_mg_n_per_l=5.9 / 4.4268,
    kh_dkh=4.139 / 0.35665,
)
BARE = WaterTarget({})
MISSING = (
    "calcium_mg_per_l",
    "magnesium_mg_per_l",
    "sodium_mg_per_l",
    "chloride_mg_per_l",
    "sulfate_mg_per_l",
    "kh_dkh",
)


def test_a_full_report_balances() -> None:
    water = read_report(FULL)
    assert water.imbalance == pytest.approx(0.0, abs=1e-3)
    assert water.assumed == ()
    assert water.findings == ()


@pytest.mark.parametrize("name", MISSING)
def test_one_missing_ion_is_worked_out(name: str) -> None:
    water = read_report(replace(FULL, **{name: None}))
    whole = read_report(FULL)
    assert [each.key for each in water.findings] == ["water-worked-out"]
    for ion, amount in whole.ions.items():
        assert water.ions[ion] == pytest.approx(amount, abs=2e-3)


def test_a_few_tests_of_ones_own_do() -> None:
    water = read_report(WaterReport("tap", kh_dkh=5.0, gh_dgh=8.0, ph=7.6, nitrate_mg_n_per_l=2.0))
    cations, anions = charge_meq_per_l(water.ions)
    assert cations == pytest.approx(anions)
    air = aired(water.ions, 25.0)
    assert air.gh_dgh == pytest.approx(8.0)
    assert air.kh_dkh == pytest.approx(5.0)
    assert "water-assumed" in [each.key for each in water.findings]


@settings(max_examples=200, deadline=None)
@given(
    told=st.fixed_dictionaries(
        {},
        optional={
            "calcium_mg_per_l": st.floats(0, 200),
            "magnesium_mg_per_l": st.floats(0, 60),
            "sodium_mg_per_l": st.floats(0, 200),
            "potassium_mg_per_l": st.floats(0, 20),
            "chloride_mg_per_l": st.floats(0, 200),
            "sulfate_mg_per_l": st.floats(0, 300),
            "nitrate_mg_n_per_l": st.floats(0, 20),
            "kh_dkh": st.floats(0, 25),
            "gh_dgh": st.floats(0, 40),
        },
    )
)
def test_whatever_is_told_balances_or_is_refused(told: dict[str, float]) -> None:
    try:
        water = read_report(WaterReport("tap", **told))
    except CannotRead as refused:
        assert refused.problems
        return
    cations, anions = charge_meq_per_l(water.ions)
    assert all(amount >= 0.0 for amount in water.ions.values())
    assert abs(cations - anions) <= max(0.2, 0.1 * (cations + anions)) + 1e-9


@pytest.mark.parametrize(
    ("change", "key", "helps"),
    [
        ({"kh_dkh": 30.0}, "water-unbalanced", ""),
        ({"kh_dkh": 4.139 / 0.35665 * 1.78480}, "water-unbalanced-misread", "alkalinity-french"),
        ({"sulfate_mg_per_l": 300.0, "kh_dkh": 11.0}, "water-unbalanced", ""),
        ({"gh_dgh": 28.0}, "water-hardness-differs", None),
        ({"ph": 3.9}, "water-acid-with-kh", None),
        ({"sodium_mg_per_l": -1.0}, "water-negative", None),
    ],
)
def test_a_report_that_cannot_be_is_refused(change, key: str, helps: str | None) -> None:
    with pytest.raises(CannotRead) as caught:
        read_report(replace(FULL, **change))
    (problem,) = caught.value.problems
    assert problem.key == key
    if helps is not None:
        assert problem.arguments["helps"] == helps


def test_softened_water_is_known_for_what_it_is() -> None:
    softened = replace(FULL, calcium_mg_per_l=4.0, magnesium_mg_per_l=1.0, sodium_mg_per_l=126.4)
    water = read_report(softened)
    assert water.softened
    assert "water-softened" in [each.key for each in water.findings]
    assert read_report(WaterReport("tap", kh_dkh=10.0, gh_dgh=1.0)).softened
    assert not read_report(WaterReport("tap", kh_dkh=1.0, gh_dgh=1.0)).softened


def test_disinfectant_untold_is_the_most_there_may_be() -> None:
    assert read_report(FULL).chloramine_mg_per_l == 4.0
    assert not read_report(FULL).disinfectant_told
    told = read_report(replace(FULL, chlorine_mg_per_l=0.3))
    assert (told.chlorine_mg_per_l, told.chloramine_mg_per_l) == (0.3, 0.0)


def shared(report: WaterReport) -> SharedWater:
    air = aired(read_report(report).ions, 25.0)
    return SharedWater(Span(air.ph - 0.9, air.ph), air.gh_dgh, air.kh_dkh)


def test_animals_the_water_suits() -> None:
    suits_soft, not_soft = suited(shared(WaterReport("rain", kh_dkh=1.0, gh_dgh=2.0)))
    suits_hard, not_hard = suited(shared(FULL))
    assert not set(suits_soft) & set(not_soft)
    assert len(suits_soft) + len(not_soft) == len(catalogue())
    assert "gh-low" in {why for each in not_soft.values() for why in each}
    assert any("ph-high" in each or "gh-high" in each for each in not_hard.values())
    assert set(suits_hard) != set(suits_soft)


def test_buffering_counts_among_whom_a_water_suits() -> None:
    """Water from a softener: hardly any GH, KH as before."""
    water = SharedWater(Span(7.0, 7.4), 6.0, 12.0)
    name = "Paracheirodon innesi"
    assert suited(water)[1][name] == ("kh-high",)
    assert name in suited(replace(water, kh_dkh=3.0))[0]
    assert "brackish" in {why for each in suited(water)[1].values() for why in each}


def test_a_recipe_becomes_the_source_water_of_a_tank() -> None:
    target = WaterTarget({"gh": (4.0, 6.0), "kh": (2.0, 4.0)})
    at_hand = AtHand(("reverse osmosis",), (SaltAtHand("sodium-bicarbonate"),))
    plan = source_plan(replace(FULL, chloramine_mg_per_l=2.0), at_hand, target)
    assert plan.recipe is not None
    told = as_source_water(plan)
    assert told.gh_dgh == pytest.approx(plan.recipe.made.gh_dgh, rel=5e-3)
    assert told.kh_dkh is not None
    assert 2.0 - 0.2 <= told.kh_dkh <= 4.0 + 0.2
    assert told.chloramine_mg_per_l == pytest.approx(
        2.0 * plan.recipe.parts[0].measured / 10, rel=0.05
    )
    bare = source_plan(FULL, AtHand(), WaterTarget({}))
    assert bare.recipe is None
    assert as_source_water(bare).chloramine_mg_per_l is None


def test_what_is_only_guessed_is_not_written_down() -> None:
    few = as_source_water(source_plan(WaterReport("tap", kh_dkh=6.0, gh_dgh=9.0), AtHand(), BARE))
    assert (few.kh_dkh, few.gh_dgh) == (6.0, 9.0)
    assert few.nitrate_mg_n_per_l is None
    assert few.ammonia_mg_n_per_l is None
    assert few.chloride_mg_per_l is None
    assert few.conductivity_us_per_cm is None
    full = as_source_water(source_plan(FULL, AtHand(), BARE))
    assert full.chloride_mg_per_l == pytest.approx(7.8)
    assert full.nitrate_mg_n_per_l == pytest.approx(5.9 / 4.4268, rel=5e-3)
