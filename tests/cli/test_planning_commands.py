"""``watervane blueprint`` and ``source-water``: real sums from words to print, file and JSON."""

from __future__ import annotations

import json
from contextlib import suppress
from datetime import date
from pathlib import Path

import pytest
from fake_ports import FakePorts
from hypothesis import given, settings
from hypothesis import strategies as st
from test_commands import call

from watervane.app import BadInput
from watervane.app.blueprint_ports import BlueprintRequest
from watervane.bootstrap_blueprint import blueprint_ports as real_blueprint_ports
from watervane.exchange import read_tank_file
from watervane.planning.blueprint.filling import bed_parts, volumes_of
from watervane.planning.blueprint.shapes import vessel_of
from watervane.process.geometry import water_body
from watervane.records import BedLayer, BlueprintWish, Filter, GlassBox, Media, Shape, Tank

NEW = ("blueprint", "new", "--size", "60 x 30 x 36 cm", "--outside", "--glass", "6 mm")
FISH = ("--animals", "10 guppy 4 cm")
FLOOR = ("--floor", "timber", "--span", "3.5 m", "--lies", "across")
TAP = (
    *("source-water", "--tap", "calcium 82 mg/L", "--tap", "magnesium 18.7 mg/L"),
    *("--tap", "sodium 6 mg/L", "--tap", "potassium 1.6", "--tap", "chloride 7.8 mg/L"),
    *("--tap", "sulphate 71 mg/L", "--tap", "nitrate 30 mg/L", "--tap", "chloramine 2 mg/L"),
)


def test_sentences_come_first_then_figures_then_cautions() -> None:
    result = call(FakePorts(), *NEW, *FISH, *FLOOR, "--tariff", "0.30")
    assert result.code == 0, result.out + result.err
    places = [
        result.out.index(text)
        for text in (
            "blueprint of a tank",
            "All told it weighs",
            "near the carrying wall",
            "builders' custom",
            "of gravel, ",
            "litre rating",
            "hottest night",
            "At your tariff",
            "To keep nitrate",
            "What is done when",
            "Normal and harmless",
            "What to buy",
            "What it weighs",
            "The panes",
            "Share of what the floor",
            "Heat lost",
            "residual-current",
        )
    ]
    assert places == sorted(places)
    assert "drip loop" in result.out
    assert "licensed" in result.out
    assert max(map(len, result.out.splitlines())) <= 80


def test_problems_stand_above_all_else_and_leave_their_code() -> None:
    result = call(FakePorts(), *NEW[:-1], "4 mm", *FISH, *FLOOR)
    assert result.code == 3
    assert result.out.index("looks too thin") < result.out.index("All told")


def test_steps_have_dates_where_the_filling_has_one() -> None:
    told = " ".join(call(FakePorts(), *NEW, *FISH, *FLOOR, "--filled", "2026-03-01").out.split())
    assert "day 0, Sun 1 Mar: Bed and stones in" in told
    assert "are not of your tank" in told
    bare = " ".join(call(FakePorts(), *NEW, *FISH, *FLOOR).out.split())
    assert "day 0: Bed and stones in" in bare


def test_this_very_tank_is_run_where_asked() -> None:
    fake = FakePorts()
    words = (*NEW, *FISH, *FLOOR, "--filled", "2026-03-01", "--run-start", "--json")
    told = json.loads(call(fake, *words).out)
    assert len(fake.compared) == 1
    request, moment = fake.compared[0]
    assert request.horizon_days == 120
    assert moment is not None
    assert moment.date() == date(2026, 3, 1)
    assert told["timeline"]["start"]["own"] is True
    assert told["timeline"]["start"]["way"] == fake.ways.preferred
    assert told["timeline"]["filled"] == "2026-03-01"


def test_a_recipe_comes_along_to_the_shop() -> None:
    words = ("--tap", "kh 1 dKH", "--tap", "gh 2 dGH", "--want", "gh 6..8", "--want", "kh 3..5")
    told = json.loads(call(FakePorts(), *NEW, *FISH, *FLOOR, *words, "--json").out)
    salts = {each["arguments"]["name"] for each in told["shopping"] if each["key"] == "salt"}
    assert salts
    assert salts == set(told["upkeep"]["salts_first_g"])
    batch = told["water"]["recipe"]["target"]["batch_l"]
    for part in told["water"]["recipe"]["parts"]:
        if part["name"] in salts:
            first = told["upkeep"]["salts_first_g"][part["name"]]
            litres = told["volumes"]["net_l"]
            assert first == pytest.approx(part["measured"] * litres / batch, rel=1e-4)


def test_json_holds_every_figure() -> None:
    result = call(FakePorts(), *NEW, *FISH, *FLOOR, "--json")
    told = json.loads(result.out)
    assert told["format"] == "watervane-blueprint/1"
    assert told["total_kg"] == pytest.approx(sum(m["mass_kg"] for m in told["masses"]), rel=1e-5)
    assert {p["part"] for p in told["panes"]} == {"long", "short"}
    assert told["heat"]["cost_per_year"] is None
    assert all(each["key"].startswith(("blueprint-", "choose-")) for each in told["findings"])


@pytest.mark.parametrize(
    ("shape", "size", "more"),
    [
        ("cube", "30 cm", ()),
        ("cylinder", "40 x 50 cm", ()),
        ("hexagon", "40 x 50 cm", ()),
        ("bow front", "60 x 30 x 36 cm", ("--bow", "6 cm")),
        ("corner", "60 x 60 x 40 cm", ("--return", "20 cm")),
        ("polygon", "36 cm", ("--corners", "0,0 60,0 60,30 30,40 0,30")),
    ],
)
def test_every_shape_makes_a_file_that_can_be_started(
    shape: str, size: str, more: tuple[str, ...], tmp_path: Path
) -> None:
    file = tmp_path / "new.tank.toml"
    words = ("--shape", shape, "--size", size, "--glass", "8 mm", *more, *FISH, *FLOOR)
    result = call(
        FakePorts(), "blueprint", "new", *words, "--write", str(file), "--filled", "2026-03-01"
    )
    assert result.code in {0, 3}, result.err
    tank = read_tank_file(file)
    plan = json.loads(call(FakePorts(), "blueprint", "new", *words, "--json").out)
    body, findings = water_body(tank)
    assert findings == []
    assert body.volume_l == pytest.approx(plan["volumes"]["net_l"], rel=0.03)
    assert tank.normal_food_g_per_d is not None
    again = call(FakePorts(), "blueprint", "new", *words, "--write", str(file))
    assert again.code == 2
    assert "is there already" in again.err
    over = call(FakePorts(), "blueprint", "new", *words, "--write", str(file), "--over")
    assert over.code == result.code


def test_a_file_made_of_a_plan_passes_its_own_check(tmp_path: Path) -> None:
    file = tmp_path / "new.tank.toml"
    assert call(FakePorts(), *NEW, *FISH, *FLOOR, "--write", str(file)).code == 0
    fake = FakePorts(tank=read_tank_file(file))
    result = call(fake, "blueprint", "check", str(file), *FLOOR, *FISH, "--json")
    told = json.loads(result.out)
    assert result.code == 0, [each["key"] for each in told["findings"]]
    assert told["filter"]["enough"] is True
    assert told["heat"]["enough"] is True


def test_media_of_several_kinds_count_by_their_surface() -> None:
    """A litre of sponge (1300 m2/m3) and one of carriers (500) are 1.385 L of sponge."""
    shape = Shape("rectangular", 60.0, 30.0, 36.0, glass_mm=6.0, measured="outside")
    both = Filter((Media("sponge", 1.0), Media("carrier", 1.0)), 300.0)
    tank = Tank("Old", date(2026, 3, 1), shape=shape, filter=both)
    plan = real_blueprint_ports().plan(BlueprintRequest({}, tank))
    assert plan.wish.media_l == pytest.approx(1.0 + 500.0 / 1300.0)


def test_a_tank_without_a_shape_or_a_height_is_not_judged() -> None:
    for shape, key in ((None, "blueprint-no-shape"), (Shape(length_cm=60.0), "blueprint-missing")):
        tank = Tank("Old", date(2026, 3, 1), volume_l=54.0, shape=shape)
        with pytest.raises(BadInput) as caught:
            real_blueprint_ports().plan(BlueprintRequest({}, tank))
        assert key in [problem.key for problem in caught.value.problems]


def test_words_mean_what_they_say() -> None:
    """Length, width, height and a sloping bed, in inches too."""
    told = json.loads(
        call(
            FakePorts(),
            *("blueprint", "new", "--size", "24 x 12 x 14 in", "--glass", "6 mm"),
            *("--bed", "sand 2..4 cm 0.8 mm", *FISH, "--room", "60..86 F", "--json"),
        ).out
    )
    box = GlassBox("rectangular", 60.96, 30.48, 35.56, glass_mm=6.0)
    wish = BlueprintWish("x", box, layers=(BedLayer("sand", 2.0, 4.0, 0.8),))
    vessel = vessel_of(box)
    ours = volumes_of(wish, vessel, bed_parts(wish, vessel))
    assert told["volumes"]["net_l"] == pytest.approx(ours.net_l, rel=1e-4)
    assert told["heat"]["days"][0]["room_c"] == pytest.approx(15.5556, abs=1e-3)
    assert told["heat"]["days"][2]["room_c"] == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--size", "60 x 30"), "three sizes"),
        (("--size", "60 x 30 x 36 stone"), "--size"),
        (("--size", "60 x 30 x 36 cm", "--water-depth", "40 cm"), "rim"),
        (("--size", "60 x 30 x 36 cm", "--bed", "marbles 3 cm"), "marbles"),
        (("--size", "60 x 30 x 36 cm", "--bed", "deep"), "gravel 3..5 cm"),
        (("--size", "60 x 30 x 36 cm", "--animals", "fish"), "fish"),
        (("--size", "60 x 30 x 36 cm", "--room", "warm"), "17..28"),
        (("--size", "60 x 30 x 36 cm", "--room", "28..17 degC"), "warmer"),
        (("--size", "60 x 30 x 36 cm", "--humidity", "7"), "0.5"),
        (("--size", "60 x 30 x 36 cm", "--filled", "soon", "--write", "x"), "2026-03-01"),
        (("--size", "60 x 30 x 36 cm", "--floor", "sponge"), "timber, concrete and ground"),
        (("--size", "60 x 30 x 36 cm", "--lies", "down"), "across and along"),
        (("--size", "60 x 30 x 36 cm", "--plants", "loads"), "none, few and many"),
        (("--size", "60 x 30 x 36 cm", "--way", "prayer"), "animals-first"),
        (("--size", "60 x 30 x 36 cm", "--bag", "0 kg"), "--bag"),
        (("--size", "60 x 30 x 36 cm", "--span", "0 m"), "--span"),
        (("--size", "60 x 30 x 36 cm", "--water", "60 degC"), "35"),
        (("--size", "60 x 30 x 36 cm", "--animals", "0 Danio rerio"), "Danio"),
        ((), "needs its length"),
    ],
)
def test_bad_words_say_which_and_what_would_help(words: tuple[str, ...], told: str) -> None:
    result = call(FakePorts(), "blueprint", "new", *words)
    assert result.code == 2
    told = "3 sizes" if told == "three sizes" else told
    assert told in " ".join(result.err.split())
    assert "Traceback" not in result.err


def test_an_unknown_animal_is_told_with_the_nearest_name() -> None:
    result = call(FakePorts(), *NEW, *FLOOR, "--animals", "10 gupppy 4 cm")
    assert "Did you mean" in " ".join(result.out.split())


WORDS = st.text("0123456789 x,.-cmkgdegCLh/<>=&abc\u00d7\u221e", max_size=24)
OPTIONS = (
    *("size", "glass", "bottom", "water-depth", "equipment", "stand", "span", "joists", "food"),
    *("target", "media", "media-volume", "flow", "air", "water", "room", "humidity", "machines"),
    *("heater", "tariff", "altitude", "bag", "bow", "corners", "shape", "plants", "floor"),
)


@settings(max_examples=150, deadline=None)
@given(
    told=st.dictionaries(st.sampled_from(OPTIONS), WORDS, max_size=4),
    lists=st.dictionaries(st.sampled_from(("bed", "decor", "animals", "tap")), WORDS, max_size=2),
)
def test_whatever_is_typed_is_planned_or_refused(told, lists) -> None:
    words = {"size": "60 x 30 x 36 cm", **told, **{name: (text,) for name, text in lists.items()}}
    with suppress(BadInput):
        plan = real_blueprint_ports().plan(BlueprintRequest(words))
        assert plan.volumes.net_l > 0.0


@settings(max_examples=150, deadline=None)
@given(
    tap=st.lists(WORDS, max_size=3),
    want=st.lists(WORDS, max_size=2),
    told=st.dictionaries(st.sampled_from(("bucket", "scale", "temperature", "salt")), WORDS),
)
def test_whatever_is_typed_of_a_water_is_read_or_refused(tap, want, told) -> None:
    words = {**told, "tap": ("kh 5 dKH", *tap), "want": tuple(want)}
    with suppress(BadInput):
        assert real_blueprint_ports().plan_water(words).water.ions


def test_a_water_as_it_is_gets_the_advice_first() -> None:
    result = call(FakePorts(), *TAP)
    assert result.code == 0, result.err
    places = [
        result.out.index(text)
        for text in ("First choose animals", "After a day", "suits", "Conditioner", "calcite")
    ]
    assert places == sorted(places)


def test_a_recipe_in_words_and_in_figures() -> None:
    words = (*TAP, "--want", "gh 4..8", "--want", "kh 2..4", "--want", "nitrate < 10 mg/L")
    result = call(FakePorts(), *words, "--membrane")
    assert result.code == 0
    assert "reverse osmosis" in result.out
    assert "What holds the cost up" in result.out
    told = json.loads(call(FakePorts(), *words, "--membrane", "--json").out)
    made = told["recipe"]["made"]
    assert told["format"] == "watervane-source-water/1"
    assert 3.9 <= made["gh_dgh"] <= 8.1
    assert made["nitrate_mg_n_per_l"] * 4.4268 <= 10.1
    alone = call(FakePorts(), *words, "--salt", "baking soda")
    assert alone.code == 3
    assert "would help: reverse osmosis" in " ".join(alone.out.split())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("source-water",), "Nothing is told"),
        ((*TAP, "--tap", "calcum 3 mg/L"), "calcium"),
        ((*TAP, "--tap", "kh 30 dKH"), "charges cannot balance"),
        ((*TAP, "--want", "colour 3"), "gh"),
        ((*TAP, "--want", "gh 8..4"), "downwards"),
        ((*TAP, "--salt", "gold"), "gold"),
        ((*TAP, "--bucket", "0 L"), "--bucket"),
    ],
)
def test_bad_waters_say_which_and_what_would_help(words: tuple[str, ...], told: str) -> None:
    result = call(FakePorts(), *words)
    assert result.code == 2
    assert told in " ".join(result.err.split())
    assert "Traceback" not in result.err


def test_a_plan_takes_the_water_along(tmp_path: Path) -> None:
    file = tmp_path / "new.tank.toml"
    words = ("--tap", "kh 5 dKH", "--tap", "gh 8 dGH", "--tap", "chloramine 1 mg/L")
    result = call(FakePorts(), *NEW, *FISH, *FLOOR, *words, "--write", str(file))
    assert result.code == 0, result.err
    water = read_tank_file(file).source_water
    assert water.kh_dkh == pytest.approx(5.0)
    assert water.gh_dgh == pytest.approx(8.0)
    assert water.chloramine_mg_per_l == pytest.approx(1.0)
    assert water.ph is not None


def test_bad_words_and_contradictions_are_told_at_once() -> None:
    """Words, sizes, bed, room and tap; and nothing is missed that could only not be read."""
    result = call(
        FakePorts(),
        *("blueprint", "new", "--size", "60 x abc x 36 cm", "--water-depth", "50 cm"),
        *("--bed", "gravle 3 cm", "--floor", "wood", "--decor", "plastic 2 kg"),
        *("--room", "30..20 degC", "--tap", "kh five"),
    )
    said = " ".join(result.err.split())
    assert result.code == 2
    assert "has 6 problems" in said
    for text in ("abc", "--floor wood", "gravle", "plastic", "warmer than the warmest", "five"):
        assert text in said
    assert "needs its" not in said


def test_wishes_are_refused_beside_the_words_of_the_tank() -> None:
    result = call(
        FakePorts(),
        *("blueprint", "choose", "--size", "60 x 30 x 36 cm", "--bed", "gravel 40 cm"),
        *("--wish", "5 gupy", "--plants", "lots", "--tap", "kh 5 dKG"),
    )
    said = " ".join(result.err.split())
    assert result.code == 2
    for text in ("lots", "thinner bed", "dKG", "Nearest are: guppy"):
        assert text in said
