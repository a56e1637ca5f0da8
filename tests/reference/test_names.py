"""Animals, substances, foods and media under the names keepers use."""

from __future__ import annotations

import pytest

from watervane.process.geometry import PLANT_UPTAKE_MG_N_PER_M2_D
from watervane.reference import (
    TableError,
    UnknownNameError,
    animal_form,
    animal_needs,
    as_given_g,
    bed_row,
    body_form,
    body_forms,
    catalogue,
    find_animal,
    food_amounts,
    food_moisture,
    food_phosphorus,
    food_protein,
    grain_surface_m2_per_m3,
    load_table,
    media_surface,
    media_surface_m2_per_m3,
    plant_classes,
    plant_uptake,
    substance,
    substances,
    wet_mass_g,
    wet_mass_span_g,
)
from watervane.reference.sources import package_text
from watervane.reference.substances import read_substances
from watervane.units import conversions as c
from watervane.units import parse_food


@pytest.mark.parametrize(
    ("name", "form", "matched"),
    [
        ("Danio rerio", "slender fish", "name"),
        ("danio_rerio", "slender fish", "name"),
        ("Neon tetras", "slender fish", "name"),
        ("guppies", "slender fish", "name"),
        ("Corydoras aeneus", "deep-bodied fish", "name"),  # of the catalogue
        ("Corydoras nobilis", "deep-bodied fish", "genus"),
        ("our own cory", "deep-bodied fish", "word"),
        ("panda cory", "deep-bodied fish", "name"),
        ("red cherry shrimp", "shrimp", "name"),
        ("blue velvet shrimp of mine", "shrimp", "word"),
        ("comet goldfish", "goldfish", "word"),
        ("kuhli loaches", "eel-like fish", "name"),
        ("nerite snails", "snail", "name"),
        ("axolotl", "axolotl", "name"),
        ("African dwarf frogs", "dwarf frog", "name"),
        ("Foobarus nonsensicus", "slender fish", "none"),
        ("", "slender fish", "none"),
    ],
)
def test_animals(name: str, form: str, matched: str) -> None:
    animal = animal_form(name)
    assert (animal.form, animal.matched) == (form, matched)


def test_every_animal_has_a_form_and_every_form_a_law() -> None:
    for row in load_table("animals"):
        assert row.extra["form"] in body_forms()
    for form in body_forms():
        law = body_form(form)
        assert law.a.id.endswith("_a")
        assert law.b.id.endswith("_b")
    with pytest.raises(UnknownNameError):
        body_form("winged fish")


@pytest.mark.parametrize(
    ("name", "length_cm", "low_g", "high_g"),
    [
        # from memory: wide weights any keeper or breeder would accept
        ("zebrafish", 3.5, 0.25, 0.8),
        ("guppy", 2.5, 0.08, 0.3),
        ("goldfish", 15.0, 40.0, 100.0),
        ("angelfish", 10.0, 8.0, 35.0),
        ("kuhli loach", 8.0, 0.5, 2.5),
        ("cherry shrimp", 2.5, 0.1, 0.35),
        ("axolotl", 22.0, 50.0, 150.0),
    ],
)
def test_wet_mass_is_of_the_right_size(
    name: str, length_cm: float, low_g: float, high_g: float
) -> None:
    assert low_g < wet_mass_g(name, length_cm) < high_g
    span = wet_mass_span_g(name, length_cm)
    assert span.low < wet_mass_g(name, length_cm) < span.high


def test_without_a_length_the_span_covers_the_adult_range() -> None:
    span = wet_mass_span_g("zebrafish")
    assert span.low < wet_mass_span_g("zebrafish", 4.0).low
    assert span.high > wet_mass_span_g("zebrafish", 4.0).high


@pytest.mark.parametrize("length_cm", [0.0, -2.0, float("nan"), 1e9])
def test_impossible_lengths(length_cm: float) -> None:
    with pytest.raises(ValueError, match="impossible"):
        wet_mass_g("guppy", length_cm)


MASSES = {
    "H": c.HYDROGEN,
    "C": c.CARBON,
    "N": c.NITROGEN,
    "O": c.OXYGEN,
    "Na": c.SODIUM,
    "Mg": c.MAGNESIUM,
    "S": c.SULFUR,
    "Cl": c.CHLORINE,
    "Si": 28.085,  # IUPAC; no dissolved part of the model holds any
    "K": c.POTASSIUM,
    "Ca": c.CALCIUM,
}
ATOMS = {
    "ammonium chloride": "N H H H H Cl",
    "ammonium sulfate": "N N S O O O O" + " H" * 8,
    "ammonia solution": "N H H H",
    "sodium nitrite": "Na N O O",
    "potassium nitrate": "K N O O O",
    "sodium bicarbonate": "Na H C O O O",
    "potassium bicarbonate": "K H C O O O",
    "sodium carbonate": "Na Na C O O O",
    "calcium carbonate": "Ca C O O O",
    "calcium chloride dihydrate": "Ca Cl Cl O O H H H H",
    "calcium sulfate dihydrate": "Ca S" + " O" * 6 + " H" * 4,
    "magnesium sulfate heptahydrate": "Mg S" + " O" * 11 + " H" * 14,
    "magnesium chloride hexahydrate": "Mg Cl Cl" + " O" * 6 + " H" * 12,
    "sodium chloride": "Na Cl",
    "sodium thiosulfate pentahydrate": "Na Na S S" + " O" * 8 + " H" * 10,
    "sodium thiosulfate anhydrous": "Na Na S S O O O",
    "ascorbic acid": "C C C C C C O O O O O O" + " H" * 8,
    "sodium bisulfite": "Na H S O O O",
    "sodium metabisulfite": "Na Na S S O O O O O",
    "conditioner": "Na Na S S" + " O" * 8 + " H" * 10,
    "ammonia binder": "C H H H Na O O O O S",
    "zeolite": "Si O O",  # of its framework: its ions are exchanged, not dissolved
}


def test_molar_masses_and_contents_follow_from_the_formula() -> None:
    assert set(ATOMS) == set(substances())
    for name, formula in ATOMS.items():
        atoms, entry = formula.split(), substance(name)
        assert entry.molar_mass_g_per_mol == pytest.approx(sum(MASSES[a] for a in atoms), abs=6e-5)
        nitrogen = entry.tan_mol + entry.nitrite_mol + entry.nitrate_mol
        assert nitrogen == atoms.count("N"), name
        assert entry.sodium_mol == atoms.count("Na"), name
        assert entry.potassium_mol == atoms.count("K"), name
        assert entry.calcium_mol == atoms.count("Ca"), name
        assert entry.magnesium_mol == atoms.count("Mg"), name
        assert entry.chloride_mol == atoms.count("Cl"), name


def test_alkalinity_closes_the_charge_of_each_salt() -> None:
    # alkalinity = strong cations - strong anions, with ammonium as its zero level
    for entry in substances().values():
        if entry.dechlorination_mg_cl2_per_mg or "sulfate" in entry.name:
            continue
        cations = entry.sodium_mol + entry.potassium_mol
        cations += 2 * (entry.calcium_mol + entry.magnesium_mol)
        if "chloride" in entry.name:
            cations += entry.tan_mol  # weighed as ammonium, a cation
        anions = entry.chloride_mol + entry.nitrite_mol + entry.nitrate_mol
        expected = entry.tan_mol if entry.formula == "NH3" else cations - anions
        assert entry.alkalinity_eq == expected, entry.name


@pytest.mark.parametrize(
    ("name", "canonical"),
    [
        ("Baking soda", "sodium bicarbonate"),
        ("NaHCO3", "sodium bicarbonate"),
        ("epsom salt", "magnesium sulfate heptahydrate"),
        ("CaCl2.2H2O", "calcium chloride dihydrate"),
        ("ammonium_chloride", "ammonium chloride"),
        ("water conditioner", "conditioner"),
    ],
)
def test_substance_names(name: str, canonical: str) -> None:
    assert substance(name).name == canonical


@pytest.mark.parametrize(
    ("name", "strength"),
    [("ammonia solution 9.5 %", 0.095), ("ammonia 10%", 0.10), ("5 % ammonia solution", 0.05)],
)
def test_a_per_cent_sets_the_strength(name: str, strength: float) -> None:
    entry = substance(name)
    assert entry.name == "ammonia solution"
    assert entry.strength == entry.strength_span.low == pytest.approx(strength)


@pytest.mark.parametrize("name", ["unobtainium", "ammonia 0 %", "ammonia 150 %", ""])
def test_unknown_substances(name: str) -> None:
    with pytest.raises(UnknownNameError):
        substance(name)


def test_an_unknown_name_offers_near_ones() -> None:
    with pytest.raises(UnknownNameError, match="'sodium bicarbonate'"):
        substance("sodium bicarbnate")


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("53.4915", "0", "s.csv:2: a molar mass is positive"),
        ("exact-arithmetic", "hearsay2020", "s.csv:2: source 'hearsay2020'"),
        ("ammonium chloride,", ",", "s.csv:2: no name"),
        ("1,0.97,1,1", "1,0.97,0.98,1", "s.csv:2: strength"),
    ],
)
def test_a_bad_substance_is_refused_with_file_and_line(old: str, new: str, message: str) -> None:
    text = package_text("substances.csv")
    assert old in text
    with pytest.raises(TableError) as caught:
        read_substances(text.replace(old, new, 1), "s.csv")
    assert str(caught.value).startswith(message)


def test_food_amounts_serve_the_parser() -> None:
    pinch = food_amounts()["pinch"]
    assert (pinch.low, pinch.high) == (0.02, 0.08)
    assert parse_food("2 pinches", food_amounts()).high == pytest.approx(0.16)
    for name in food_amounts():
        assert 0.2 < food_protein(name).value < 0.7
    assert food_protein("pellets").value == food_protein("pellet").value
    with pytest.raises(UnknownNameError):
        food_protein("pebble")


@pytest.mark.parametrize(
    ("grain_mm", "surface"),
    [(0.5, 7200), (1, 3600), (2, 1800), (5, 720), (10, 360), (20, 180)],
)
def test_grain_surface_as_published(grain_mm: float, surface: float) -> None:
    assert grain_surface_m2_per_m3(grain_mm) == pytest.approx(surface)  # section 7, computed
    assert media_surface_m2_per_m3("gravel", grain_mm) == pytest.approx(surface)


def test_media_and_beds() -> None:
    assert media_surface_m2_per_m3("sponge") == media_surface("Sponges").value
    assert media_surface_m2_per_m3("foam 45 ppi") > media_surface_m2_per_m3("foam-20-ppi")
    assert media_surface_m2_per_m3("sponge", 3.0) == media_surface_m2_per_m3("sponge")
    assert bed_row("coral sand", "porosity").unit == "1"
    for call in (lambda: media_surface("marbles"), lambda: bed_row("none", "grain")):
        with pytest.raises(UnknownNameError):
            call()
    with pytest.raises(ValueError, match="make no bed"):
        grain_surface_m2_per_m3(0.0)


def test_a_reviewed_species_goes_before_its_genus_and_before_its_row_of_usual_lengths() -> None:
    assert animal_form("ember tetra").name == "Hyphessobrycon amandae"
    assert animal_form("tetra").name == "Hyphessobrycon"
    assert animal_form("Otocinclus").name == "Otocinclus"
    assert animal_form("zebrafish").typical_length_cm == 4.5


def test_one_reviewed_value_decides_length_and_form_under_every_name() -> None:
    reviewed = {each.scientific_name: each for each in catalogue() if each.grade != "one pass"}
    for row in load_table("animals"):
        ours = reviewed.get(row.extra["name"])
        if ours is None:
            continue
        for name in (row.extra["name"], *filter(None, row.extra["aliases"].split(";"))):
            found = animal_form(name)
            if found.name == ours.scientific_name:  # else an alias that another species claims
                told = (found.typical_length_cm, found.adult_length_cm, found.form)
                assert told == (ours.typical_length_cm, ours.adult_length_cm, ours.form)
    assert animal_form("tilapia of the neighbour").typical_length_cm == 40.0
    assert animal_form("clown loach").form == "slender fish"
    assert wet_mass_g("clown loach") == pytest.approx(wet_mass_g("clown loach", 25.0))


def test_needs_of_a_species_of_the_catalogue_are_those_of_its_row() -> None:
    needs = animal_needs("panda cory")
    ours = find_animal("Corydoras panda")
    assert needs.name == "Corydoras panda"
    assert ours.temperature_c is not None
    assert ours.widest_temperature_c is not None
    found = needs.values["temperature"]
    assert (found.low, found.high) == (ours.temperature_c.low, ours.temperature_c.high)
    assert found.widest_high == ours.widest_temperature_c.high
    assert needs.group("ammonia group") == ours.ammonia_group


def test_a_cube_weighs_what_its_note_says_and_dry_food_hardly_more_than_dry() -> None:
    cube = as_given_g("cubes")
    assert cube.low < 3.0
    assert cube.high > 4.0
    pinch = as_given_g("pinch")
    assert pinch.low == pytest.approx(0.02 / 0.92)
    assert pinch.high == pytest.approx(0.08 / 0.92)
    for name in food_amounts():
        assert 0.0 < food_moisture(name).value < 1.0
        assert 0.005 < food_phosphorus(name).value < 0.02
        rest = food_protein(name).value + food_phosphorus(name).value
        assert rest < 1.0
    with pytest.raises(UnknownNameError, match="pinch"):
        food_moisture("pinsh")


def test_plants_are_found_by_class_name_genus_and_species() -> None:
    assert plant_uptake("Anubias barteri var. nana").extra["name"] == "slow"
    assert plant_uptake("Cryptocoryne wendtii").extra["name"] == "rooted"
    assert plant_uptake("hornworts").extra["name"] == "stems"
    assert plant_uptake("floating").extra["name"] == "floating"
    with pytest.raises(UnknownNameError, match="duckweed"):
        plant_uptake("duckwed")
    levels = [row.value for row in plant_classes()]
    assert levels == sorted(levels)


def test_classes_of_plants_hold_what_the_model_takes_few_and_many_for() -> None:
    """One floor full of the slowest is at least few; many is within what stems take."""
    few, many = (PLANT_UPTAKE_MG_N_PER_M2_D[word] for word in ("few", "many"))
    slow, stems = plant_uptake("slow"), plant_uptake("stems")
    assert slow.low is not None
    assert slow.high is not None
    assert slow.low <= few <= slow.high
    assert stems.low is not None
    assert stems.high is not None
    assert stems.low <= many <= stems.high
