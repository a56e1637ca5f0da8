"""Every kind of bad input gives a problem at its line, with a remedy, and never a crash."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from sample_files import FULL, assert_well_said, line_of, problems_in

from watervane.exchange import TankFileErrors, parse_tank_text, read_tank_file
from watervane.wording import finding_line

KIT_STEPS = '["0", "0.3", "0.7", "1.5", "3", "6"]'

# what is replaced, by what, the problem expected
SPOILT = [
    ('plants = "few"', 'plnats = "few"', "unknown-key-near"),
    ('plants = "few"', 'colour = "red"', "unknown-key"),
    ('plants = "few"', 'plants = "fwe"', "not-choice-near"),
    ('plants = "few"', 'plants = "jungle"', "not-choice"),
    ('plants = "few"', "plants = 3", "not-text"),
    ("lid = true", 'lid = "yes"', "not-flag"),
    ("lid = true", 'volume = "-57 L"', "unit.negative"),
    ("lid = true", 'volume = "0 L"', "not-positive"),
    ("lid = true", 'volume = "200 L"', "volume-conflict"),
    ("lid = true", 'volume = "57 gal"', "unit.ambiguous"),
    ("lid = true", 'volume = "57 parsec"', "unit.unknown"),
    ("lid = true", "volume = 57", "unit.plain-number"),
    ("lid = true", 'volume = "9**9**9**9"', "unit.not-a-quantity"),
    ("lid = true", 'volume = "nan L"', "unit.not-finite"),
    ("lid = true", 'volume = "50..60 L"', "unit.one-number"),
    ("lid = true", 'volume = ""', "unit.empty"),
    ("lid = true", 'volume = "1,234 L"', "unit.ambiguous-comma"),
    ("lid = true", f'volume = "{"5" * 70} L"', "unit.too-long"),
    ("lid = true", "volume = [57]", "unit.not-text"),
    ("lid = true", "volume = 0x" + "f" * 5000, "number-huge"),
    ("ph = 7.6", "ph = 15", "unit.out-of-range"),
    ("ph = 7.6", "ph = -1", "unit.negative"),
    ("ph = 7.6", "ph = nan", "unit.not-finite"),
    ("ph = 7.6", 'ph = "7..8"', "unit.one-number"),
    ('kh = "5 dKH"', 'kh = "5 mg/L"', "unit.ambiguous"),
    ('nitrate = "5 mg/L"', 'nitrate = "5 mg/L as X"', "unit.unknown"),
    ("hours = 8", "hours = 25", "number-out"),
    ("hours = 8", 'hours = "8"', "not-number"),
    ('kind = "sponge", ', "", "missing-key"),
    ('kind = "sponge"', 'kind = "spnge"', "medium-unknown-near"),
    ('material = "gravel"', 'material = "grvel"', "not-choice-near"),
    ('depth = "3.5 cm"', 'depth = "35 cm"', "bed-above-water"),
    ('water_depth = "32 cm"', 'water_depth = "40 cm"', "depth-above-height"),
    ('glass = "6 mm"', 'glass = "16 cm"', "glass-too-thick"),
    ('measured = "outside"', 'diameter = "3 cm"', "shape-key-misplaced"),
    ('heater = { power = "75 W", set_point = "25 degC" }', "heater = 75", "not-a-table"),
    ('[{ kind = "sponge", volume = "0.6 L" }]', '"sponge"', "not-a-list"),
    ("filled = 2026-03-01", 'filled = "2026-03-01"', "date-in-quotes"),
    ("filled = 2026-03-01", "filled = 2026-03-01T10:00:00", "date-wanted"),
    ("filled = 2026-03-01", "filled = 0001-03-01", "date-out-of-range"),
    ("Europe/Lisbon", "Europe/Lisbonn", "zone-unknown-near"),
    ("Europe/Lisbon", "../../etc/passwd", "zone-unknown"),
    ("Europe/Lisbon", "Europe", "zone-unknown-near"),
    ('"Reading room"', '"a\\u001b[2Jb"', "not-printable"),
    ('"Reading room"', f'"{"a" * 300}"', "text-too-long"),
    (KIT_STEPS, '["0", "0.7", "0.3"]', "unit.steps-not-ascending"),
    (KIT_STEPS, '["0"]', "list-too-short"),
    (KIT_STEPS, '["0", "> 3"]', "unit.one-number"),
    (KIT_STEPS, '["0", true]', "unit.not-text"),
    ('unit = "mg/L as N"', 'unit = "stones"', "unit.unknown"),
    ('pinch = "0.03 g"', 'pinch = "2 pinches"', "unit.unknown-food"),
    ('pinch = "0.03 g"', 'pnch = "0.03 g"', "unknown-key-near"),
    ('pinch = "0.03 g"', 'pinch = "0 g"', "not-positive"),
    ('kind = "dose"', "", "event-without-kind"),
    ('kind = "dose"', 'kind = "doze"', "kind-unknown-near"),
    ('kind = "dose"', 'kind = "xylophone"', "kind-unknown"),
    ('kind = "dose"', "kind = 7", "kind-unknown"),
    ('"conditioner"', '"conditoner"', "substance-unknown-near"),
    ('"conditioner"', '"moonlight water"', "substance-unknown"),
    ('"conditioner"', '"conditioner"\nraise_to = "2 mg/L as N"', "dose-no-ammonia"),
    ('"conditioner"', '"ammonia"\nraise_to = "2 mg/L as N"\namount = "1 g"', "told-twice"),
    ('"conditioner"', '"conditioner"\namount = "3 yards"', "unit.unknown"),
    ("at = 2026-03-01T11:00:00\n", "", "event-without-date"),
    ("at = 2026-03-01T11:00:00", "at = 11:00:00", "clock-without-habit"),
    ("at = 2026-03-01T11:00:00", 'at = "2026-03-01T11:00:00"', "date-in-quotes"),
    ("at = 2026-03-01T11:00:00", "at = 3", "moment-wanted"),
    ("at = 2026-03-01T11:00:00", "at = 2026-02-27", "before-filling"),
    ("at = 2026-03-01T11:00:00", "at = 2026-03-29T01:30:00", "clock-gap"),
    ("count = 4", "count = 0", "number-out"),
    ("count = 4", "count = -4", "number-out"),
    ("count = 4", "count = 1.5", "not-whole"),
    ("count = 4", "count = true", "not-number"),
    ("count = 4", "", "missing-key"),
    ("count = 4", 'count = 4\nmass = "0.1 g"', "told-twice"),
    ('every = "1 d"\n', "", "habit-without-every"),
    ("from = 2026-03-02\n", "", "habit-without-from"),
    ("from = 2026-03-02", "from = 2026-02-02", "before-filling"),
    ("from = 2026-03-02", "from = 2026-03-02\nuntil = 2026-03-01", "habit-ends-first"),
    ("from = 2026-03-02", "from = 2026-03-02\nat = 2026-03-02", "habit-with-date"),
    ('every = "1 d"', 'every = "-1 d"', "unit.negative"),
    ('every = "1 d"', 'every = "0 d"', "not-positive"),
    ('every = "1 d"', 'every = "1 min"', "habit-too-often"),
    ('amount = "1 pinch"', 'amount = "1 handful"', "unit.unknown-food"),
    ('amount = "1 pinch"', 'amount = "1 pinch"\nmass = "1 g"', "told-twice"),
    ('amount = "1 pinch"', 'amount = "-1 pinch"', "unit.negative"),
    ("protein = 0.42", "protein = 42", "number-out-open"),
    ("fraction = 0.25", "fraction = 25", "number-out-open"),
    ("fraction = 0.25", "fraction = 0", "number-out-open"),
    ("fraction = 0.25", "fraction = nan", "number-out-open"),
    ("fraction = 0.25", "fraction = -0.1", "number-out-open"),
    ("fraction = 0.25", "", "change-without-size"),
    ("fraction = 0.25", 'volume = "500 L"', "change-too-big"),
    ("fraction = 0.25", 'fraction = 0.25\nvolume = "5 L"', "told-twice"),
    ('quantity = "ammonia"', 'quantity = "amonia"', "not-choice-near"),
    ('quantity = "ammonia"', 'quantity = "gold"', "not-choice"),
    ('quantity = "ammonia"', "", "missing-key"),
    ('value = "0.7 mg/L as N"', 'value = "9**9**9**9"', "unit.not-a-quantity"),
    ('value = "0.7 mg/L as N"', 'value = "0.7"', "unit.missing"),
    ('value = "0.7 mg/L as N"', "value = 0.7", "unit.plain-number"),
    ('value = "0.7 mg/L as N"', 'value = "0.7 furlong"', "unit.unknown"),
    ('value = "0.7 mg/L as N"', 'value = "-0.7 mg/L"', "unit.negative"),
    ('value = "0.7 mg/L as N"', 'value = "< 0 mg/L"', "unit.below-nothing"),
    ('value = "0.7 mg/L as N"', 'value = "3..1 mg/L"', "unit.range-reversed"),
    ('value = "0.7 mg/L as N"', 'value = "> 3..4 mg/L"', "unit.mixed-range"),
    ('value = "0.7 mg/L as N"', 'value = "1/0 mg/L"', "unit.zero-division"),
    ('value = "0.7 mg/L as N"', "value = 0x" + "f" * 5000, "number-huge"),
    ('kit = "drop"\n', 'kit = "drip"\n', "kit-unknown-near"),
    ('kit = "drop"\n', 'kit = "zzz"\n', "kit-unknown"),
    ("at = 2026-03-10T19:00:00", "at = 2026-02-10", "before-filling"),
    ("at = 2026-03-10T19:00:00", "at = 2026-03-29T01:30:00", "clock-gap"),
    ("at = 2026-03-10T19:00:00", "at = 19:00:00", "clock-without-habit"),
    ("[kits.drop]\nammonia = { steps = " + KIT_STEPS + ', unit = "mg/L as N" }', "",
     "kit-unknown-none"),
    ("[kits.drop]\n", '[kits."a\\tb"]\n', "kit-name"),
    ("[kits.drop]\n", '[kits.drop]\nresponse_time = "2 min"\n', "kit-key-of-probes"),
    ("[kits.drop]\n", "[kits.drop]\ncalibrated = [2026-03-01]\n", "kit-key-of-probes"),
    ("[kits.drop]\n", '[kits.drop]\nkind = "probe"\nresponse_time = "0 s"\n', "not-positive"),
    ("[kits.drop]\n", '[kits.drop]\nkind = "probe"\nresponse_time = "2 mg"\n', "unit.unknown"),
    ("[kits.drop]\n", '[kits.drop]\nkind = "probe"\ncalibrated = "now"\n', "not-a-list"),
    ("[kits.drop]\n", '[kits.drop]\nkind = "probe"\ncalibrated = ["2026-03-01"]\n',
     "date-in-quotes"),
    ("[kits.drop]\n", '[kits.drop]\ngh = { unit = "dGH", reagent = "nessler" }\n',
     "reagent-of-ammonia"),
    ("[kits.drop]\n", "[kits.drop]\nnitrite = {}\n", "kit-scale-empty"),
    ("steps = " + KIT_STEPS, 'resolution = "0"', "not-positive"),
    ("steps = " + KIT_STEPS, 'resolution = "-0.1"', "unit.negative"),
    ("steps = " + KIT_STEPS, 'resolution = "> 0.1"', "unit.one-number"),
    ("steps = " + KIT_STEPS, 'resolution = "fine"', "unit.not-a-quantity"),
    ("steps = " + KIT_STEPS, "resolution = 0x" + "f" * 5000, "number-huge"),
    ("steps = " + KIT_STEPS, 'range_end = "5 furlong"', "unit.unknown"),
    ("steps = " + KIT_STEPS, 'range_end = "5", steps = ["0", "1"]', "told-twice"),
    ("steps = " + KIT_STEPS, 'error_floor = "0"', "not-positive"),
    ("steps = " + KIT_STEPS, 'error_floor = "0.1 mg/L", resolution = "0.1"', "kit-scale-bases"),
    ("steps = " + KIT_STEPS, "relative_error = 0", "number-out-open"),
    ("steps = " + KIT_STEPS, "relative_error = 5", "number-out-open"),
    ("steps = " + KIT_STEPS, 'reagent = "salicilate"', "not-choice-near"),
    ("steps = " + KIT_STEPS, 'reagent = "copper"', "not-choice"),
    ('quantity = "ammonia"', 'quantity = "water"', "said-what"),
    ('value = "0.7 mg/L as N"', 'value = "fine"', "said-of-what"),
    ('quantity = "ammonia"\nvalue = "0.7 mg/L as N"',
     'quantity = "water"\nvalue = "fine"\nof = "source water"', "said-of-source"),
    ('quantity = "ammonia"\nvalue = "0.7 mg/L as N"',
     'quantity = "ph"\nvalue = 7\ndiluted = 4', "diluted-nonsense"),
    ('value = "0.7 mg/L as N"', 'value = "0.7 mg/L as N"\ndiluted = 0.5', "number-out"),
    ('value = "0.7 mg/L as N"', 'value = "0.7 mg/L as N"\ndiluted = "1:4"', "not-number"),
    ('format = "watervane-tank/1"\n', "", "format-missing"),
    ('format = "watervane-tank/1"', 'format = "watervane-tank/9"', "format-unknown"),
]  # fmt: skip


@pytest.mark.parametrize(("good", "bad", "key"), SPOILT, ids=lambda v: str(v)[:30])
def test_a_spoilt_value_is_reported_at_its_line(good: str, bad: str, key: str) -> None:
    assert good in FULL
    text = FULL.replace(good, bad, 1)
    problems = problems_in(text)
    assert key in {p.key for p in problems}
    (problem,) = [p for p in problems if p.key == key][:1]
    assert problem.line is not None
    where = FULL.index(good)
    first = FULL.count("\n", 0, where) + 1
    # the changed lines, or the head of the table that lacks something
    near = range(first - 6, first + bad.count("\n") + 2)
    assert problem.line in near or key == "kit-unknown-none"  # reported where it is used
    if bad and key not in ("missing-key", "event-without-date", "change-without-size"):
        lines = text.split("\n")
        assert problem.line >= first or "without" in key, lines[problem.line - 1]


def test_the_line_is_exactly_that_of_the_value() -> None:
    for good, bad, key in SPOILT:
        simple = bad.strip() and "\n" not in bad and "=" in bad
        if simple and key.startswith(("unit.", "number", "not-", "unknown-key", "clock-gap")):
            text = FULL.replace(good, bad, 1)
            lines = [p.line for p in problems_in(text) if p.key == key]
            assert line_of(text, bad) in lines, (bad, lines)


def test_all_problems_come_at_once_each_with_its_line() -> None:
    text = FULL
    for good, bad in (
        ('plants = "few"', 'plnats = "few"'),
        ("ph = 7.6", "ph = 15"),
        ("count = 4", "count = 0"),
        ("fraction = 0.25", "fraction = 25"),
        ('value = "0.7 mg/L as N"', 'value = "9**9**9**9"'),
    ):
        text = text.replace(good, bad)
    problems = problems_in(text)
    assert [p.key for p in problems] == [
        "unknown-key-near",
        "unit.out-of-range",
        "number-out",
        "number-out-open",
        "unit.not-a-quantity",
    ]
    wanted = ["plnats", "ph = 15", "count = 0", "fraction = 25", "9**9"]
    assert [p.line for p in problems] == [line_of(text, needle) for needle in wanted]


def test_conflicting_volumes_say_both_numbers() -> None:
    text = FULL.replace("lid = true", 'volume = "200 L"')
    (problem,) = problems_in(text)
    said = finding_line(problem)
    assert "200 L" in said
    assert "50.6 L" in said
    assert problem.line == line_of(text, 'volume = "200 L"')


@pytest.mark.parametrize("volume", ["48 L", "54 L", "57 L", "64.8 L", "15 US gal"])
def test_net_and_gross_volumes_both_agree_with_a_shape(volume: str) -> None:
    assert problems_in(FULL.replace("lid = true", f'volume = "{volume}"')) == ()


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ("volume = 57 L", "syntax-quotes"),
        ("volume = 9**9**9**9", "syntax-quotes"),
        ('name = "twice"', "syntax-twice"),
        ("x = 2026-03-01T11:00", "syntax-seconds"),
        ("x = 2026-02-30", "syntax-date"),
        ('x = "open', "syntax"),
        ("x = ", "syntax"),
        ("x", "syntax"),
        ("x = " + "[" * 5000, "syntax-nested"),
        ("x = " + "9" * 5000, "number-huge"),
        ('x = "\x00"', "syntax"),
    ],
)
def test_a_syntax_error_comes_alone(line: str, key: str) -> None:
    text = FULL.replace("lid = true", line)
    (problem,) = problems_in(text)
    assert problem.key == key
    if key != "syntax-nested":
        assert problem.line in (line_of(FULL, "lid = true"), line_of(FULL, "lid = true") + 1)


def test_single_brackets_for_an_event_are_explained() -> None:
    text = 'format = "watervane-tank/1"\n[tank]\nname = "A"\nfilled = 2026-03-01\n'
    (problem,) = problems_in(text + '[event]\nat = 2026-03-02\nkind = "note"\ntext = "x"')
    assert (problem.key, problem.line) == ("not-double-brackets", 5)


@pytest.mark.parametrize(
    ("raw", "key", "line"),
    [
        (b"", "file-empty", None),
        (b"  \n\n", "file-empty", None),
        (FULL.encode("utf-16"), "utf16", 1),
        (FULL.replace("Reading room", "Lesesaal f\xfcr alle").encode("latin-1"), "not-utf8", 3),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "not-utf8", 1),
        (b"seq,day,date,quantity,value,low\n1,0,,pH,7,\n", "log-not-tank-file", 1),
        (
            b'id = "k"\nvolume_litres = 60.0\nbasis = "x"\nkit = "y"\n',
            "log-header-not-tank-file",
            1,
        ),
        (b'title = "something else"\n', "not-tank-file", 1),
        (b'{"a": 1}', "syntax", 1),
        (b'format = "watervane-tank/1"\ntank = 3\n', "not-a-table", 2),
        (b'format = "watervane-tank/1"\n[source_water]\nph = 7\n', "tank-missing", None),
        (b'format = "watervane-tank/1"\n[tank]\n', "missing-key", 2),
    ],
    ids=lambda v: str(v)[:24],
)
def test_wrong_files_are_named_for_what_they_are(
    raw: bytes, key: str, line: int | None, tmp_path: Path
) -> None:
    file = tmp_path / "my.tank.toml"
    file.write_bytes(raw)
    with pytest.raises(TankFileErrors) as caught:
        read_tank_file(file)
    problem = caught.value.problems[0]
    assert_well_said(problem)
    assert (problem.key, problem.line) == (key, line)
    assert file.read_bytes() == raw


def test_a_wrong_byte_is_named_with_its_place(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes('name = "a"\nset_point = "25 \xb0C"\n'.encode("latin-1"))
    with pytest.raises(TankFileErrors) as caught:
        read_tank_file(file)
    (problem,) = caught.value.problems
    assert problem.line == 2
    assert problem.arguments["byte"] == "0xb0"
    assert re.search(r"byte 28 of the file is 0xb0 \(byte 17 of this line\)", finding_line(problem))


@pytest.mark.parametrize("name", ["absent.tank.toml", "", "a\x00b", "x" * 5000])
def test_a_path_to_nothing_is_explained(name: str, tmp_path: Path) -> None:
    with pytest.raises(TankFileErrors) as caught:
        read_tank_file(tmp_path / name if name else tmp_path)
    (problem,) = caught.value.problems
    assert problem.key in ("file-missing", "file-is-folder", "file-unreadable")
    assert_well_said(problem)


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
@example("[[event]]\n[event]\n")
@example("\ufeff[tank]")
@example('"" = 1')
def test_any_text_is_read_or_refused(text: str) -> None:
    problems_in(text)


TOML_VALUES = st.sampled_from(
    [
        *('""', '"x"', "0", "-1", "1e400", "nan", "true", "[]", "[[]]", "{}", "{ a = 1 }"),
        *("2026-03-05", "2026-03-05T10:00:00", "10:00:00", "2026-03-05T10:00:00Z", '"1 L"'),
        *('"2 g"', '"5 mg/L"', '["0", "1"]', "[{ kind = 1 }]", '"\\u0000"', "9223372036854775807"),
    ]
)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(range(FULL.count("\n"))), TOML_VALUES)
def test_any_value_in_any_place_is_read_or_refused(index: int, value: str) -> None:
    lines = FULL.split("\n")
    key, equals, _ = lines[index].partition(" = ")
    if equals:
        lines[index] = f"{key} = {value}"
    problems_in("\n".join(lines))


def test_nothing_is_accepted_twice_under_two_names() -> None:
    text = FULL.replace("count = 4", "count = 4\nCount = 4")
    (problem,) = problems_in(text)
    assert problem.key == "unknown-key-near"
    assert problem.arguments["near"] == "count"
    assert parse_tank_text(FULL).events


@pytest.mark.parametrize("told", ['volume = "90 L"', 'shape = { length = "80 cm" }', "size = 3"])
def test_no_event_changes_the_size_of_a_tank(told: str) -> None:
    head = 'format = "watervane-tank/1"\ntank = { name = "A", filled = 2026-03-01 }\n'
    event = f'[[event]]\nat = 2026-04-01\nkind = "equipment"\n{told}\n'
    with pytest.raises(TankFileErrors) as caught:
        parse_tank_text(head + event)
    (problem,) = caught.value.problems
    assert (problem.key, problem.line) == ("equipment-size", 6)
    assert "a file of its own" in finding_line(problem)
