"""Single published tolerances against the limits of the animals they are of."""

from __future__ import annotations

import numpy as np
import pytest
from test_published_limits import HERE, table

from watervane.limits import Limit, Water, judge, limits_for
from watervane.reference import animal_form, animal_needs, animal_values
from watervane.units import conversions as mass

DATA = HERE / "data"
LC50 = table(DATA / "literature_points" / "lc50_from_abstracts.csv")
THERMAL = table(DATA / "literature_points" / "thermal_and_ph_limits.csv")
GLOBTHERM = table(DATA / "globtherm_freshwater_fish" / "globtherm_freshwater_fish.csv")
CHRONIC = table(DATA / "anzg_chronic_ammonia_nitrate" / "anzg_species_values.csv")
PER_N = {
    "mg NO2-/L": mass.NO2_PER_N,
    "mg NO2-N/L": 1.0,
    "mg NH3-N/L": 1.0,
    "mg NH3/L": mass.NH3_PER_N,
}


def limit(animal: str, key: str) -> Limit:
    """One limit of an animal."""
    return {each.key: each for each in limits_for([animal])}[key]


def level(animal: str, subject: str, tier: str, chloride_mg_per_l: float = 19.0) -> float:
    """The strictest level of an animal, in neutral water of 25 degC."""
    water = Water(ph=7.0, temperature_c=25.0, chloride_mg_per_l=chloride_mg_per_l)
    return min(
        float(each.level(water))
        for each in limits_for([animal])
        if (each.subject, each.tier) == (subject, tier)
    )


NITRITE = [row for row in LC50 if row["substance"] == "nitrite"]


@pytest.mark.parametrize("row", NITRITE, ids=[f"{r['species']}-{r['lc50']}" for r in NITRITE])
def test_what_killed_half_is_three_times_our_nitrite_limit(row: dict[str, str]) -> None:
    """For a species that is not in the table too; the third is printed to four figures."""
    killed = float(row["lc50"]) / PER_N[row["unit"]]
    chloride = float(row["chloride_mg_L"] or 19.0)
    assert killed >= 3.0 * (1.0 - 1e-3) * level(row["species"], "nitrite", "acute", chloride)


def test_groups_of_nitrite_differ_as_much_as_their_tests() -> None:
    """Guppy and zebrafish eightfold, zebrafish and cardinal tetra two hundredfold."""
    guppy, zebrafish, cardinal = (
        level(name, "nitrite", "acute") for name in ("guppy", "zebrafish", "cardinal tetra")
    )
    assert zebrafish / guppy == pytest.approx(242.41 / 30.2, rel=1e-3)
    assert zebrafish / cardinal == pytest.approx(242.41 / 1.1, rel=1e-3)
    assert level("unheard of", "nitrite", "acute") == cardinal


def test_a_month_below_what_harmed_in_a_month() -> None:
    """28 d: growth of zebrafish suffers from 73 mg NO2/L (voslarova2008); 36 d: 0.4 mg N/L."""
    assert 3.0 * level("zebrafish", "nitrite", "chronic") <= 73.0 / mass.NO2_PER_N * 1.001
    assert level("neon tetra", "nitrite", "chronic") < 0.4 / 3.0


FREE = [row for row in LC50 if row["substance"] == "un-ionised ammonia"]


@pytest.mark.parametrize("row", FREE, ids=[f"{r['species']}-{r['lc50']}" for r in FREE])
def test_what_killed_half_is_three_times_our_free_ammonia_limit(row: dict[str, str]) -> None:
    killed = float(row["lc50"]) / PER_N[row["unit"]]
    free = [
        float(each.level(Water(ph=7.0, temperature_c=25.0)))
        for each in limits_for([row["species"]])
        if each.quantity == "free_ammonia_mg_n_per_l" and each.tier == "acute"
    ]
    assert killed >= 3.0 * min(free)


def test_cardinal_tetras_total_ammonia_is_over_three_times_ours_in_the_water_they_live_in() -> None:
    """23.7 mg/L, pH not told; read as the ion at pH 5.5, as the row says (deoliveira2008)."""
    killed = 23.7 / mass.NH4_PER_N
    water = Water(ph=5.5, temperature_c=27.0, ammonia_mg_n_per_l=killed)
    judged = judge(limits_for(["cardinal tetra"]), water)["acute", "ammonia"]
    assert judged.leader.key == "total_ammonia_acute_sensitive"
    assert float(judged.ratio) == pytest.approx(3.0, rel=2e-3)


MEASURED = [row for row in animal_values() if row.quantity.startswith("measured")]
# As the abstracts name them -> as our table does; a species stands for its genus.
TOLD = {"Puntius tetrazona": "Puntigrus tetrazona", "Corydoras paleatus": "Corydoras"}


def _ends(text: str) -> list[float]:
    return [
        float(part) for part in text.replace(",", " ").replace("/", " ").replace("-", " ").split()
    ]


def test_measured_limits_are_the_cautious_ends_of_what_was_published() -> None:
    published: dict[tuple[str, str], list[float]] = {}
    for row in THERMAL:
        name = row["species"].split(" (")[0]
        name = TOLD.get(name, name)
        if row["metric"].startswith(("CTmin", "CTmax")) and " / " not in row["metric"]:
            side = "low" if row["metric"] == "CTmin" else "high"
            published.setdefault((name, side), []).extend(_ends(row["value_C_or_pH"]))
    for found in MEASURED:
        if found.source in {"thermal_ornamental2019", "angelfish_thermal2003"}:
            if found.low is not None:
                assert found.low == max(published[found.name, "low"])
            if found.high is not None:
                assert found.high == min(published[found.name, "high"])
    molly = next(row for row in GLOBTHERM if row["species"] == "Poecilia sphenops")
    own = next(row for row in MEASURED if row.name == "Poecilia sphenops")
    assert (own.low, own.high) == (float(molly["tmin_C"]), float(molly["tmax_C"]))
    tetra = {r["metric"]: r["value_C_or_pH"] for r in THERMAL if "axelrodi" in r["species"]}
    for metric, quantity in (("LT50 low / high", "measured temperature"),
                             ("pH LC50 low / high", "measured ph")):  # fmt: skip
        own = animal_needs("Paracheirodon axelrodi").values[quantity]
        assert [own.low, own.high] == _ends(tetra[metric])


def test_no_range_reaches_what_kills_its_species_or_one_of_its_genus() -> None:
    """Comfort and harm at once both keep off every measured end, of congeners too."""
    looked_at = set()
    for row in GLOBTHERM:
        found = animal_form(row["species"])
        if found.matched not in {"name", "genus"}:
            continue
        needs = animal_needs(found.name)
        looked_at.add(found.name)
        hottest = limit(found.name, f"temperature_acute_above_{_key(found.name)}")
        assert float(hottest.level(Water(ph=7.0, temperature_c=25.0))) < float(row["tmax_C"])
        if row["tmin_C"]:
            own = needs.values["temperature"]
            assert own.widest_low is not None
            assert own.widest_low > float(row["tmin_C"])
    assert looked_at >= {"Poecilia sphenops"}


def _key(name: str) -> str:
    return name.lower().replace(" ", "_")


def test_angelfish_prefer_warmth_that_we_call_good_or_a_little_more() -> None:
    """A finding: 29.0 to 31.1 degC preferred in the laboratory, our comfort ends at 30."""
    comfort = limit("angelfish", "temperature_comfort_above_pterophyllum_scalare")
    chronic = limit("angelfish", "temperature_chronic_above_pterophyllum_scalare")
    water = Water(ph=7.0, temperature_c=25.0)
    assert float(comfort.level(water)) == 30.0
    assert float(chronic.level(water)) > 31.1


def _chronic(chemical: str, group: str, medium: str = "") -> list[dict[str, str]]:
    return [
        row
        for row in CHRONIC
        if (row["chemical"], row["group"]) == (chemical, group) and medium in row["medium"]
    ]


def test_molluscs_before_fish_before_shrimps_as_ammonia_acts_for_long() -> None:
    """Order alone (anzg2026_ammonia): our limits never let a mollusc bear more than a fish."""
    lowest = [
        min(float(row["conc_mg_L"]) for row in _chronic("ammonia", group))
        for group in ("Mollusc", "Fish", "Shrimp")
    ]
    assert lowest == sorted(lowest)
    for fish in ("zebrafish", "guppy", "neon tetra"):
        for ph in np.arange(6.0, 9.5, 0.5):
            water = Water(ph=ph, temperature_c=25.0, ammonia_mg_n_per_l=1.0)
            mine, theirs = (
                judge(limits_for([name]), water)["chronic", "ammonia"].ratio
                for name in ("Pomacea", fish)
            )
            assert mine >= theirs


@pytest.mark.parametrize(
    ("animal", "genus", "medium"),
    [
        ("zebrafish", "Gobiomorphus", "moderate"),
        ("Caridina", "Hyalella", "moderate"),
        ("Pomacea", "Lampsilis", "moderate"),
        ("axolotl", "Xenopus", "soft"),
    ],
)
def test_nitrate_limits_are_the_values_they_name(animal: str, genus: str, medium: str) -> None:
    rows = [row for row in CHRONIC if row["chemical"] == "nitrate" and row["genus"] == genus]
    found = [float(row["conc_mg_L"]) for row in rows if row["medium"].startswith(medium)]
    assert found == [level(animal, "nitrate", "chronic")]


def test_which_fish_suffered_from_less_nitrate_than_our_chronic_limit() -> None:
    """A finding: fry and eggs of cold soft water, and eggs of fathead minnow; comfort is at 10."""
    ours = level("zebrafish", "nitrate", "chronic")
    lower = {
        (row["genus"], row["medium"].split()[0])
        for row in _chronic("nitrate", "Fish")
        if float(row["conc_mg_L"]) < ours
    }
    assert lower == {
        *((genus, "soft") for genus in ("Coregonus", "Galaxias", "Gobiomorphus", "Oncorhynchus")),
        *(("Salmo", "soft"), ("Salvelinus", "soft"), ("Pimephales", "moderate")),
    }
