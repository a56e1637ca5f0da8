"""Sentences of plans: every part has its words, all read easily, none is left half filled."""

from __future__ import annotations

import re
import string
import tomllib
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from reading_ease import reading_ease

import watervane.wording
from watervane.app.section_pictures import section_picture
from watervane.planning.blueprint.starts import ways_known
from watervane.planning.blueprint.whole import blueprint_of
from watervane.planning.waters.plan import AtHand, source_plan
from watervane.planning.waters.recipes import usual_salts
from watervane.records import (
    BedLayer,
    BlendedIn,
    Blueprint,
    BlueprintWish,
    Decor,
    GlassBox,
    RoomFloor,
    SourcePlan,
    SourceWater,
    WaterReport,
    WaterTarget,
    Wish,
)
from watervane.wording import finding_text
from watervane.wording.blueprint import blueprint_sentences, blueprint_tables, blueprint_title
from watervane.wording.blueprint_page import plan_answers, plan_standing, plan_whys
from watervane.wording.blueprint_steps import step_lists
from watervane.wording.blueprint_why import blueprint_whys
from watervane.wording.source_water import source_sentences, source_tables, source_title

BOXES = {
    "rectangular": GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0, glass_mm=6.0),
    "frame": GlassBox(
        length_cm=60.0, width_cm=30.0, height_cm=36.0, braced=True, full_support=False
    ),
    "cylinder": GlassBox("cylinder", 40.0, height_cm=50.0, glass_mm=8.0),
    "bow front": GlassBox("bow front", 90.0, 40.0, 45.0, bow_cm=8.0, glass_mm=6.0),
    "hexagon": GlassBox("hexagon", 50.0, height_cm=60.0, glass_mm=8.0),
}
FLOORS = (
    RoomFloor(),
    RoomFloor("ground"),
    RoomFloor("timber"),
    RoomFloor("concrete"),
    RoomFloor("concrete", 500.0, tank_across=False),
    RoomFloor("timber", 350.0, tank_across=True),
)


def plans() -> list[Blueprint]:
    """Plans of every shape, floor, bed and room."""
    found = []
    for box in BOXES.values():
        for floor in FLOORS:
            wish = BlueprintWish(
                "Reading room",
                box,
                floor=floor,
                layers=(BedLayer("coral sand"), BedLayer("sand", 1.0, 2.0)),
                decor=(Decor("wood", 1.0),),
                animals=(Wish("goldfish", 3, 10.0),),
                price_per_kwh=0.3,
                stand_kg=20.0,
                media_l=0.1,
                heater_w=10.0,
                second_hand=True,
                machines_w=6.0,
            )
            found.append(blueprint_of(wish))
    warm = BlueprintWish("Warm room", BOXES["rectangular"], coldest_c=26.0, layers=(), lid=False)
    ways = [blueprint_of(replace(warm, way=way, plants="many")) for way in ways_known()]
    salty = WaterTarget({"gh": (6.0, 8.0), "kh": (3.0, 5.0)})
    soft = WaterReport("tap", kh_dkh=1.0, gh_dgh=2.0, nitrate_mg_n_per_l=1.0)
    mixed = source_plan(soft, AtHand((), usual_salts()), salty)
    bitter = replace(warm, source_water=SourceWater(nitrate_mg_n_per_l=15.0))
    crowd = replace(warm, animals=(Wish("goldfish", 6, 12.0), Wish("Danio rerio", 5)))
    shelved = replace(warm, support="shelf")
    carried = replace(warm, support="stand")
    dated = replace(warm, filled=date(2026, 3, 1))
    priced = replace(warm, price_per_kwh=0.3, water_price=4.0, conditioner_price=3.0)
    priced = replace(priced, salt_price=1.0, food_price=9.0, animals=(Wish("guppy", 8),))
    blended = BedLayer("gravel", 3.0, 3.0, 4.0, BlendedIn("sand", 0.3, 0.5))
    soils = replace(warm, layers=(blended, BedLayer("soil")), animals=(Wish("guppy", 8),))
    soils = [
        replace(soils, source_water=SourceWater(kh_dkh=kh, gh_dgh=4.0)) for kh in (None, 0.0, 5.0)
    ]
    told = (warm, bitter, crowd, dated, shelved, carried, priced, *soils)
    more = [blueprint_of(each) for each in told]
    return [*found, *ways, blueprint_of(warm, mixed), *more]


def waters() -> list[SourcePlan]:
    """Waters as they are, with a recipe, and out of reach."""
    tap = WaterReport("tap", kh_dkh=11.0, gh_dgh=15.0, nitrate_mg_n_per_l=6.0, ph=7.2)
    soft = WaterReport("well", kh_dkh=10.0, gh_dgh=1.0, chloramine_mg_per_l=1.0)
    wanted = WaterTarget({"gh": (4.0, 8.0), "kh": (2.0, 4.0), "sodium": (0.0, 10.0)})
    strict = WaterTarget({"nitrate": (0.0, 0.1), "ph": (6.0, 6.5), "gh": (10.0, 12.0)})
    coarse = WaterTarget({"kh": (0.5, 0.6)}, scale_g=1.0)
    membrane = AtHand(("reverse osmosis", "rain"), usual_salts())
    return [
        source_plan(tap, AtHand(), WaterTarget({})),
        source_plan(soft, AtHand(), WaterTarget({})),
        source_plan(tap, membrane, wanted),
        source_plan(tap, AtHand(), strict),
        source_plan(WaterReport("spring", kh_dkh=0.0, gh_dgh=0.0), membrane, coarse),
    ]


PLANS, WATERS = plans(), waters()


def texts() -> list[str]:
    """All that is said of all of them."""
    found = []
    for plan in PLANS:
        found += [blueprint_title(plan), *blueprint_sentences(plan)]
        found += [finding_text(each) for each in plan.findings]
        found += [t.caption for t in blueprint_tables(plan)]
        for steps in step_lists(plan):
            found += [steps.title, steps.caption, *steps.whole()]
        found += [c for t in blueprint_tables(plan) for row in (t.headers, *t.rows) for c in row]
    for water in WATERS:
        found += [source_title(water), *source_sentences(water)]
        found += [finding_text(each) for each in water.findings]
        found += [t.caption for t in source_tables(water)]
        found += [c for t in source_tables(water) for row in (t.headers, *t.rows) for c in row]
    return found


def test_every_part_has_its_words() -> None:
    for text in texts():
        assert "{" not in text, text
        assert not re.search(r"\b(?:blueprint|water)-[a-z]", text), text
        assert "nan" not in text.split(), text
        assert not re.match(r"(?:Blueprint|Water) [a-z]+(?: [a-z]+)*[:.]", text), text


def test_rows_are_as_long_as_headers() -> None:
    tables = [t for plan in PLANS for t in blueprint_tables(plan)]
    tables += [t for water in WATERS for t in source_tables(water)]
    assert all(len(row) == len(t.headers) for t in tables for row in t.rows)


@pytest.mark.parametrize("plan", PLANS[:3], ids=["assumed", "ground", "concrete"])
def test_plans_read_easily(plan: Blueprint) -> None:
    assert reading_ease(" ".join(blueprint_sentences(plan))) > 55.0
    assert reading_ease(" ".join(finding_text(each) for each in plan.findings)) > 60.0


@pytest.mark.parametrize("water", WATERS, ids=["tap", "soft", "mixed", "strict", "coarse"])
def test_waters_read_easily(water: SourcePlan) -> None:
    assert reading_ease(" ".join(source_sentences(water))) > 50.0


def test_no_sentence_is_written_that_nothing_can_say() -> None:
    """Keys of the file that stand nowhere in the code, whole or by their beginning."""
    folder = Path(watervane.wording.__file__).parent
    keys: dict[str, str] = {}
    for name in ("blueprint.toml", "blueprint_steps.toml"):
        keys |= tomllib.loads((folder / name).read_text(encoding="utf-8"))
    code = "\n".join(p.read_text(encoding="utf-8") for p in folder.parent.rglob("*.py"))
    made = ("blueprint-part-", "blueprint-mass-", "blueprint-pane-", "blueprint-always-")
    made += ("blueprint-step-", "blueprint-normal-", "blueprint-buy-", "blueprint-unit-")
    made += (
        "blueprint-steps-",
        "water-row-",
        "water-level-",
        "water-kind-",
        "blueprint-across-",
        "blueprint-any-",
        "blueprint-untold-",
        "water-as-it-is-",
        "blueprint-along-",
        "blueprint-slab-",
        "blueprint-floor-span-",
        "blueprint-upkeep-stock-",
        "blueprint-bed-soil-unsuited",
        "blueprint-bed-lime-unsuited",
    )
    headers = {"pane", "lying", "stress", "factor", "standard-mm", "custom-mm", "bent"}
    headers |= {"placing", "bending", "shear", "strip-cm"}
    headers |= {"day", "evaporation", "panes-lose", "surface", "all", "litres"}
    idle = [
        key
        for key in keys
        if not re.search(rf"[\"']{key}[\"']", code)
        and not key.startswith(made)
        and key.removeprefix("blueprint-") not in headers
    ]
    assert idle == []
    fields = {f for t in keys.values() for _, f, _, _ in string.Formatter().parse(t) if f}
    assert all(field.isidentifier() for field in fields)


FIGURE = re.compile(r"\d+(?:\.\d+)?")
PLAIN = {"2.5", "4", "1", "1.5", "5", "28", "60"}  # customs that their own sentence calls so


def figures(text: str) -> set[str]:
    """Numbers of a text, a trailing nought after the point left out."""
    return {each.rstrip("0").rstrip(".") if "." in each else each for each in FIGURE.findall(text)}


@pytest.mark.parametrize("number", range(0, len(PLANS), 3))
def test_every_number_of_an_answer_stands_in_its_sums_or_its_table(number: int) -> None:
    """So whoever doubts a figure finds the sum behind it, or the table with its caption."""
    for answer in plan_answers(PLANS[number]):
        sums = " ".join(each.whole for each in answer.whys)
        cells = [c for t in answer.tables for row in (t.headers, *t.rows) for c in row]
        cells += [t.caption for t in answer.tables]
        traced = figures(sums) | figures(" ".join(cells)) | PLAIN
        for sentence in answer.sentences:
            untraced = figures(sentence.replace(",", "")) - traced
            assert not untraced, (answer.name, untraced, sentence)


def test_what_is_bought_and_done_tells_what_it_rests_on() -> None:
    for plan in PLANS:
        told = dict(plan_whys(plan))
        assert all(each.text.strip() for whys in told.values() for each in whys)
        shop, steps = list(told.values())[-2:]
        bought, done = ({each.text.split()[0] for each in whys} for whys in (shop, steps))
        assert {"Panes:", "Bags,", "Conditioner:"} <= bought
        assert {"Days", "Animals"} <= done
        dosed = any("dose_g" in each.arguments for each in plan.timeline.steps)
        assert dosed == ("First" in done)


@pytest.mark.parametrize("floor", FLOORS)
def test_a_shelf_always_stands_against_a_plan(floor: RoomFloor) -> None:
    wish = BlueprintWish(
        "Shelf", GlassBox(length_cm=30.0, width_cm=20.0, height_cm=20.0), floor=floor
    )
    plan = blueprint_of(replace(wish, support="shelf"))
    against = [each.key for each in plan.findings if each.severity == "problem"]
    assert "blueprint-support-shelf" in against
    assert "nothing stands against" not in plan_standing(plan).lower()
    floor_answer = next(each for each in plan_answers(plan) if each.name == "floor")
    assert any("brackets" in finding_text(each) for each in floor_answer.wrong)
    assert "not worked out" in floor_answer.sentences[0]
    assert section_picture(plan).to_floor is False
    assert "down through the stand" not in section_picture(plan).description
    steps = [line for each in step_lists(plan) for line in each.whole()]
    assert any("licensed trade" in line for line in steps)


def test_only_a_stand_told_is_told_without_one_assumed() -> None:
    wish = BlueprintWish("Stand", BOXES["rectangular"], animals=(Wish("guppy", 5),),
                         air_flow_l_per_h=60.0)  # fmt: skip
    assumed, told = blueprint_of(wish), blueprint_of(replace(wish, support="stand"))
    assert plan_standing(assumed).startswith("On a stand made for its weight nothing")
    assert plan_standing(told).startswith("By these sums nothing stands against it")
    keys = [{each.key for each in plan.findings} for plan in (assumed, told)]
    assert keys[0] - keys[1] == {"blueprint-support-assumed"}


@pytest.mark.parametrize("across", [None, True, False])
@pytest.mark.parametrize("span_cm", [None, 300.0, 700.0])
def test_concrete_has_no_joists_and_its_best_place_has_a_reason(across, span_cm) -> None:
    floor = RoomFloor("concrete", span_cm, tank_across=across)
    plan = blueprint_of(BlueprintWish("Slab", BOXES["rectangular"], floor=floor))
    figures = [cell for table in blueprint_tables(plan) for row in table.rows for cell in row]
    whys = [each.text for each in blueprint_whys(plan)["floor"]]
    told = [*blueprint_sentences(plan), *map(finding_text, plan.findings), *figures, *whys]
    assert not [each for each in told if "joist" in each]
    assert not [each for each in told if "floor is not told" in each]
    best = min(plan.floor.shares, key=lambda each: max(each.bending_share, each.shear_share))
    reason = "bent less" if best.placing.endswith("wall") else "spreads a load"
    assert any(reason in each for each in told)


@pytest.mark.parametrize("box", [BOXES["cylinder"], GlassBox("cube", 45.0)])
def test_what_is_as_long_as_wide_lies_no_way(box: GlassBox) -> None:
    plan = blueprint_of(BlueprintWish("x", box, floor=FLOORS[2]))
    said = " ".join(blueprint_sentences(plan))
    assert "near the carrying wall" in said
    assert "its length" not in said
    assert "long pane" not in said
    shares = next(each for each in blueprint_tables(plan) if each.title.startswith("Share"))
    assert len(shares.rows) == 2


def test_what_nobody_told_of_a_water_is_not_told_as_nothing() -> None:
    report = WaterReport("tap", kh_dkh=8.0, gh_dgh=12.0)
    plan = source_plan(report, AtHand((), usual_salts()), WaterTarget({}))
    said = " ".join(source_sentences(plan))
    assert "Of its nitrate and sodium nothing is told." in said
    assert "0 mg/L of" not in said
    rows = {row[0]: row[1] for row in source_tables(plan)[0].rows}
    assert rows["nitrate, mg/L"] == rows["sodium, mg/L"] == "not told"
    told = replace(report, nitrate_mg_n_per_l=0.0)
    known = source_plan(told, AtHand((), usual_salts()), WaterTarget({}))
    assert "0 mg/L of nitrate" in " ".join(source_sentences(known))
