"""A keeper's own rows of animals in the tank file: read, refused with lines, written, obeyed."""

from __future__ import annotations

from pathlib import Path

import pytest

from watervane.exchange.problems import TankFileErrors
from watervane.exchange.schema import tank_file_schema
from watervane.exchange.tank_reader import parse_tank_text, read_tank_file_with_remarks
from watervane.exchange.tank_writer import write_tank_file
from watervane.limits import limits_in
from watervane.process.population import Population
from watervane.records import AnimalsIn, OwnAnimal, Tank
from watervane.reference import animal_form, animal_needs, wet_mass_g
from watervane.wording import finding_line

HEAD = """format = "watervane-tank/1"
tank = { name = "A", filled = 2026-03-01, time_zone = "UTC", volume = "60 L" }
"""
ROWS = """[[animal]]
name = "zebrafish"
temperature = "68..75.2 degF"
nitrite_group = "sensitive"
jumps = true
[[animal]]
name = "cellar barb"
common_names = ["cellar queen"]
kind = "fish"
form = "deep-bodied fish"
usual_length = "70 mm"
adult_length = "6..8 cm"
ph = "6.8..7.8"
gh = "8 to 20 dGH"
protein = "35..45 %"
zone = ["bottom", "middle"]
territory_cm2 = 900
ammonia_group = "ordinary"
"""


def tank() -> Tank:
    return parse_tank_text(HEAD + ROWS)


def refused(rows: str) -> list[tuple[int | None, str]]:
    with pytest.raises(TankFileErrors) as caught:
        parse_tank_text(HEAD + rows)
    return [(problem.line, finding_line(problem)) for problem in caught.value.problems]


def test_rows_are_read_in_their_units_and_written_so_that_they_read_back() -> None:
    first, second = tank().own_animals
    assert first == OwnAnimal(
        "zebrafish",
        {
            "temperature_low_c": "20",
            "temperature_high_c": "24",
            "nitrite_group": "sensitive",
            "jumps": "yes",
        },
    )
    assert second.cells["adult_cm"] == "7"
    assert second.cells["gh_high_dgh"] == "20"
    assert (second.cells["protein_low"], second.cells["zone"]) == ("0.35", "bottom;middle")
    again = parse_tank_text(write_tank_file(tank()))
    assert again.own_animals == tank().own_animals


@pytest.mark.parametrize(
    ("row", "line", "said"),
    [
        ('name = "zebrafish"\ntemperature = "24 degC"', 5, "is no range"),
        ('name = "zebrafish"\ntemperature = "26..20 degC"', 5, "runs downwards"),
        ('name = "zebrafish"\ntemperature = "20..95 degC"', 5, "impossible"),
        ('name = "zebrafish"\nusual_length = "9 cm"', 5, "do not go up"),
        ('name = "zebrafish"\nnitrite_group = "tough"', 5, "tough"),
        ('name = "zebrafish"\ntemperatur = "20..24 degC"', 5, "temperature"),
        ('name = "piscis novus"\nform = "snail"', 4, "kind"),
        ('name = "zebrafish"\n[[animal]]\nname = "Danio rerio"', 6, "has a row already"),
        ('ph = "6..7"', 3, "name"),
    ],
)
def test_what_cannot_stand_is_told_with_its_line(row: str, line: int, said: str) -> None:
    told = refused(f"[[animal]]\n{row}\n")
    assert any(at == line and said in text for at, text in told), told


def test_a_single_table_is_refused() -> None:
    (told,) = refused('[animal]\nname = "zebrafish"\n')
    assert "[[animal]]" in told[1]


def test_own_rows_go_before_ours_under_every_name_of_the_animal_and_only_of_that() -> None:
    own = tank().own_animals
    for name in ("Danio rerio", "zebra danios", "Zebrafish", "Danio rerio (day 4)"):
        found = animal_needs(name, own)
        assert found.values["temperature"].high == 24.0
        assert found.values["temperature"].widest_high == 24.0
        assert found.group("nitrite group") == "sensitive"
        assert found.values["ph"] == animal_needs("Danio rerio").values["ph"]
    assert animal_needs("guppy", own).values == animal_needs("guppy").values
    assert animal_form("rosy barb", own) == animal_form("rosy barb")
    for name in ("cellar barb", "cellar queens", "young cellar barb"):
        assert animal_form(name, own).form == "deep-bodied fish"
        assert animal_form(name, own).typical_length_cm == 7.0
    assert animal_needs("cellar barb", own).group("nitrite group") == "unknown"


def test_limits_and_masses_of_the_tank_follow_its_own_rows() -> None:
    plain, mine = Tank("A", tank().filled), tank()
    ours = {limit.key: limit for limit in limits_in(plain, ["zebrafish"])}
    own = {limit.key: limit for limit in limits_in(mine, ["zebrafish"])}
    hot = "temperature_comfort_above_danio_rerio"
    assert own[hot].level.value == 24.0
    assert ours[hot].level.value != 24.0
    assert own[hot].source == "keeper"
    assert "nitrite_acute_sensitive" in own
    assert "nitrite_acute_sensitive" not in ours
    arrival = AnimalsIn(at=None, species="cellar barb", count=1, length_cm=5.0)
    stock = Population(60.0, own=mine.own_animals)
    stock.record(0.0, arrival)
    assert stock.masses_g["cellar barb"] == wet_mass_g("rosy barb", 5.0)
    assert stock.masses_g["cellar barb"] != wet_mass_g("cellar fish", 5.0)


def test_a_new_animal_of_the_keepers_is_no_stranger_in_the_log(tmp_path: Path) -> None:
    log = '[[event]]\nat = 2026-03-02\nkind = "animals-in"\nspecies = "zorble"\ncount = 1\n'
    row = '[[animal]]\nname = "zorble"\nkind = "fish"\nform = "slender fish"\n'

    def remarks(text: str) -> set[str]:
        file = tmp_path / "a.tank.toml"
        file.write_text(text, encoding="utf-8")
        return {each.key for each in read_tank_file_with_remarks(file)[1]}

    assert "species-unknown" in remarks(HEAD + log)
    assert "species-unknown" not in remarks(HEAD + log + row)


def test_the_schema_knows_every_key_of_a_row() -> None:
    rows = tank_file_schema()["properties"]["animal"]
    assert rows["type"] == "array"
    assert {"name", "temperature", "usual_length", "welfare"} <= set(rows["items"]["properties"])
    assert rows["items"]["required"] == ["name"]
