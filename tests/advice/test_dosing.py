"""Doses: exact sums against worked examples, and everything that is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.advice.dose_warnings import warnings
from watervane.advice.dosing import CannotDose, dose_sheet
from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.salts import SALTS, dose_for_alkalinity_g, dose_for_chloride_g
from watervane.records import OwnAnimal, Span
from watervane.records.doses import DosedAnimal, DoseSheet, DoseWish, LabelRate
from watervane.reference import value, wet_mass_g
from watervane.reference.dosing import dosed, not_dosed, usual_doses
from watervane.units.conversions import MEQ_PER_L_PER_DKH

SHRIMPS = DosedAnimal("Neocaridina davidi", 10)


def wish(substance: str = "treatment", rate: tuple[float, str, float] = (5.0, "mL", 50.0),
         volume_l: float = 54.0, **more: object) -> DoseWish:  # fmt: skip
    amount, unit, per_l = rate
    label = LabelRate(amount, unit, per_l, f"{amount:g} {unit} per {per_l:g} L")
    return replace(DoseWish(substance, label, volume_l), **more)


def refusals(told: DoseWish) -> list[str]:
    with pytest.raises(CannotDose) as error:
        dose_sheet(told)
    return [problem.key for problem in error.value.problems]


def keys(sheet: DoseSheet) -> set[str]:
    return {finding.key for finding in sheet.findings}


def test_the_amount_goes_with_the_water_and_the_top_up_with_what_was_changed() -> None:
    """By hand: 54 L at 5 mL per 50 L is 5.4 mL; two changes of a quarter took 7/16 of it."""
    sheet = dose_sheet(wish(removed=(0.25, 0.25)))
    assert sheet.amount == pytest.approx(5.4)
    assert sheet.removed_share == pytest.approx(7.0 / 16.0)
    assert sheet.top_up == pytest.approx(2.3625)
    assert sheet.drops is None


def test_repeats_add_to_what_changes_and_decay_left() -> None:
    """By hand: half decays in two days, a quarter is changed: 3/8 is left before each dose."""
    sheet = dose_sheet(wish(times=3, every_days=2.0, changes=0.25, half_life_h=48.0))
    assert [each.day for each in sheet.course] == [0.0, 2.0, 4.0]
    assert [each.before for each in sheet.course] == pytest.approx([0.0, 0.375, 0.515625])
    assert [each.after for each in sheet.course] == pytest.approx([1.0, 1.375, 1.515625])
    assert sheet.endless == pytest.approx(1.6)


def test_what_neither_leaves_nor_decays_grows_without_end() -> None:
    sheet = dose_sheet(wish(times=4))
    assert sheet.course[-1].after == pytest.approx(4.0)
    assert sheet.endless is None


@given(volume=st.floats(0.5, 5000.0), amount=st.floats(0.05, 40.0))
def test_amounts_are_in_proportion(volume: float, amount: float) -> None:
    sheet = dose_sheet(wish(rate=(amount, "mL", 50.0), volume_l=volume))
    assert sheet.amount == pytest.approx(amount / 50.0 * volume)
    double = dose_sheet(wish(rate=(amount, "mL", 50.0), volume_l=2.0 * volume))
    assert double.amount == pytest.approx(2.0 * sheet.amount)


def test_what_a_salt_brings_agrees_with_the_sums_of_chemistry() -> None:
    salt = dose_sheet(wish("salt", (1.0, "g", 1.0)))
    chloride = salt.brings["chloride_mg_per_l"]
    grams = float(dose_for_chloride_g(SALTS["sodium-chloride"], chloride, 1.0))
    assert grams == pytest.approx(1.0, rel=1e-4)
    assert chloride == pytest.approx(606.6, abs=0.5)  # 1 g/L NaCl, by molar masses
    soda = dose_sheet(wish("baking soda", (0.03, "g", 1.0)))
    rise = soda.brings["kh_dkh"]
    meq = rise * MEQ_PER_L_PER_DKH
    assert float(dose_for_alkalinity_g(SALTS["sodium-bicarbonate"], meq, 1.0)) == pytest.approx(
        0.03, rel=1e-4
    )
    assert rise == pytest.approx(1.0, abs=0.01)  # common practice: 30 mg a litre is one degree


def test_drops_are_told_for_small_amounts_alone() -> None:
    sheet = dose_sheet(wish(rate=(1.0, "mL", 100.0)))
    assert sheet.drops is not None
    assert sheet.drops.low == pytest.approx(0.54 / 0.07)
    assert sheet.drops.high == pytest.approx(0.54 / 0.03)


@pytest.mark.parametrize(
    ("told", "key"),
    [
        (wish(volume_l=0.0), "dose-no-water"),
        (wish(volume_l=float("nan")), "dose-no-water"),
        (wish(rate=(0.0, "mL", 50.0)), "dose-nothing"),
        (wish(rate=(500.0, "mL", 50.0)), "dose-ten-times"),
        (wish("salt", (30.0, "g", 1.0)), "dose-ten-times"),
        (wish("salt", (5.0, "mL", 1.0)), "dose-unit"),
        (wish("baking soda", (5.0, "drops", 1.0)), "dose-most-unit"),
        (wish("fertiliser", (5.0, "mL", 1.0)), "dose-ten-times"),
        (wish("erythromycin"), "dose-not-prescription"),
        (wish("Malachite Green 5 %"), "dose-not-banned"),
        (wish("formalin"), "dose-not-dangerous"),
        (wish("household bleach"), "dose-not-deadly"),
        (wish("moonshine"), "dose-unknown"),
        (wish("salt", (1.0, "g", 1.0), animals=(DosedAnimal("Corydoras"),)), "dose-salt-harms"),
        (wish("salt", (1.0, "g", 1.0), animals=(DosedAnimal("xyzzy"),)), "dose-salt-harms"),
        (wish("copper sulfate", animals=(SHRIMPS,)), "dose-copper-harms"),
        (wish("ammonium chloride", (0.01, "g", 1.0), animals=(SHRIMPS,)), "dose-ammonia-animals"),
        (wish(times=3, most=LabelRate(10.0, "mL", 50.0, "10 mL per 50 L")), "dose-over-most"),
        (wish(most=LabelRate(10.0, "g", 50.0, "10 g per 50 L")), "dose-most-unit"),
    ],
)
def test_what_would_harm_or_cannot_be_is_refused(told: DoseWish, key: str) -> None:
    if key == "dose-most-unit" and told.most is None:
        told = replace(told, most=LabelRate(1.0, "g", 1.0, "1 g per L"))
    assert key in refusals(told)


def test_what_the_keeper_knows_of_an_animal_goes_before_our_tables() -> None:
    """By our tables a barb bears a gram a litre; the keeper of these says that they hardly do."""
    barbs = (DosedAnimal("tiger barb", 4),)
    told = wish("salt", (0.9, "g", 1.0), animals=barbs)
    dose_sheet(told)
    hardly = OwnAnimal("tiger barb", {"salt_group": "hardly"})
    assert refusals(replace(told, own_animals=(hardly,))) == ["dose-salt-harms"]
    cells = {"kind": "shrimp", "form": "shrimp", "ammonia_group": "crustacean"}
    mine = wish("copper", (0.01, "mL", 1.0), animals=(DosedAnimal("brook dweller", 9),))
    known = replace(mine, own_animals=(OwnAnimal("brook dweller", cells),))
    found = [{f.key for f in warnings(each, dosed("copper"), 1.0)} for each in (mine, known)]
    assert "dose-strangers" in found[0]
    assert "dose-strangers" not in found[1]
    assert refusals(known) == ["dose-copper-harms"]


@pytest.mark.parametrize("substance", ["salt", "copper", "treatment", "fertiliser"])
def test_where_no_animals_are_told_it_says_that_nobody_was_looked_at(substance: str) -> None:
    told = wish(substance, (0.2, "g", 1.0) if substance == "salt" else (0.02, "mL", 1.0))
    assert "dose-nobody-told" in keys(dose_sheet(told))
    zebra = replace(told, animals=(DosedAnimal("Danio rerio", 6),))
    assert "dose-nobody-told" not in keys(dose_sheet(zebra))
    assert "dose-nobody-told" not in keys(dose_sheet(wish("conditioner")))


def test_a_dose_of_ammonia_is_for_bare_water_and_never_near_bleach() -> None:
    assert "dose-ammonia-bare" in keys(dose_sheet(wish("ammonium chloride", (0.01, "g", 1.0))))


def test_salt_adds_up_over_a_course() -> None:
    zebra = DosedAnimal("Danio rerio", 6)
    once = wish("salt", (0.5, "g", 1.0), animals=(zebra,))
    assert "dose-salt-stays" in keys(dose_sheet(once))
    assert refusals(replace(once, times=20)) == ["dose-salt-harms"]
    dose_sheet(replace(once, times=20, changes=0.5))


def test_a_buffer_lifts_ammonia_with_ph() -> None:
    """At the carbon dioxide of before pH rises by the decimal logarithm of KH over KH."""
    told = wish("baking soda", (0.03, "g", 1.0), ph=6.6, kh_dkh=1.0, temperature_c=25.0,
                ammonia_mg_n_per_l=1.0, animals=(DosedAnimal("Danio rerio"),))  # fmt: skip
    (found,) = [f for f in dose_sheet(told).findings if f.key == "dose-buffer-frees"]
    assert found.arguments["after"] == pytest.approx(6.6 + 0.301, abs=0.003)
    assert found.arguments["free_after"] == pytest.approx(
        float(free_ammonia_fraction(6.9, 25.0)), rel=0.02
    )
    much = replace(told, ph=7.8, ammonia_mg_n_per_l=8.0)
    assert refusals(much) == ["dose-buffer-harms"]
    assert "dose-buffer-ammonia" in keys(dose_sheet(replace(told, ph=None)))
    slow = dose_sheet(replace(told, rate=LabelRate(0.09, "g", 1.0, "0.09 g/L")))
    (parts,) = [f for f in slow.findings if f.key == "dose-buffer-slowly"]
    assert parts.arguments["days"] == 3


def test_a_conditioner_takes_oxygen_and_leaves_ammonia_of_chloramine() -> None:
    """One mole of sulfite takes half a mole of oxygen: 10 mg of bisulfite takes 1.54 mg."""
    sheet = dose_sheet(wish("sodium bisulfite", (0.01, "g", 1.0), chloramine_mg_per_l=2.0))
    found = {f.key: f.arguments for f in sheet.findings}
    assert found["dose-conditioner-takes"]["taken"] == pytest.approx(1.537, abs=0.002)
    assert found["dose-chloramine-frees"]["freed"] == pytest.approx(0.395, abs=0.001)
    assert "dose-conditioner-oxygen" in keys(dose_sheet(wish("conditioner")))


def test_a_treatment_tells_what_it_may_take_of_the_colonies_and_asks_of_tender_animals() -> None:
    sheet = dose_sheet(wish(animals=(SHRIMPS,)))
    row = value("kept_treatment_other")
    assert sheet.kept_share == Span(row.low, row.high)
    assert "dose-treatment-tender" in keys(sheet)
    assert dose_sheet(wish("conditioner")).kept_share is None
    assert dose_sheet(wish(bath=True)).kept_share is None


def test_a_bath_tells_how_soon_its_ammonia_is_too_much() -> None:
    two = DosedAnimal("Carassius auratus", 2, 8.0)
    load = dose_sheet(wish("salt", (5.0, "g", 1.0), 5.0, bath=True, animals=(two,))).hospital
    assert load is not None
    row = value("fasting_excretion_mg_n_per_g_d")
    rise = 2 * wet_mass_g("Carassius auratus", 8.0) ** 0.8 * row.low / 5.0
    assert load.rise_mg_n_per_l_d.low == pytest.approx(rise)
    assert load.hours_to_level.high == pytest.approx(24.0 * 0.5 / rise)
    assert load.share_per_d.low == pytest.approx(min(1.0, rise / 0.5))
    larger = dose_sheet(wish("salt", (5.0, "g", 1.0), 50.0, bath=True, animals=(two,))).hospital
    assert larger is not None
    assert larger.rise_mg_n_per_l_d.low == pytest.approx(rise / 10.0)


def test_every_refusal_comes_at_once() -> None:
    told = wish("salt", (40.0, "g", 1.0), 0.0, animals=(DosedAnimal("Corydoras"),))
    assert set(refusals(told)) == {"dose-no-water", "dose-ten-times", "dose-salt-harms"}


def test_names_lead_to_kinds() -> None:
    kinds = {name: dosed(name).kind for name in (
        "salt", "Table Salt", "soda ash", "gypsum", "saltpetre", "thiosulfate", "nh4cl", "remedy",
    )}  # fmt: skip
    assert list(kinds.values()) == [
        *("salt", "salt", "buffer", "mineral", "fertiliser", "conditioner", "ammonia", "treatment"),
    ]
    assert not_dosed("salt") is None
    assert not_dosed("chlorine-free conditioner") is None


def test_the_table_of_kinds_has_both_units_where_things_come_in_both() -> None:
    kinds = {(each.kind, each.unit) for each in usual_doses()}
    assert ("salt", "mL") not in kinds
    assert {("treatment", "mL"), ("treatment", "g"), ("conditioner", "mL")} <= kinds
