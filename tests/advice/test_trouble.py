"""Trouble: what is told ranks the causes, the chances hold, and nothing to do meanwhile harms."""

from __future__ import annotations

import random
from collections.abc import Mapping
from datetime import UTC, datetime

import numpy as np
import pytest

from watervane.advice.first_aid import SOON_MIN
from watervane.advice.trouble import entropy_bits, find_trouble, meanwhile, weigh, weighed
from watervane.advice.trouble_checks import gain
from watervane.advice.trouble_evidence import REMEMBERED, WRONGLY, told_by
from watervane.advice.trouble_waters import age_chances, age_shares, imagined_waters
from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.records import Kit, KitScale, Reading, ReadingValue
from watervane.records.first_aid import FirstAid
from watervane.records.trouble import Trouble, TroubleAnswers
from watervane.reference.first_aid import aid_tables
from watervane.reference.trouble import trouble_tables

AT = datetime(2026, 3, 9, 21, tzinfo=UTC)
TABLES = trouble_tables()
AIDS = aid_tables()
Chances = Mapping[str, float]
SHOWN = [key for key in TABLES.causes if key != "kit-fault"]  # without readings none is wrong


def read(quantity: str, value: float) -> Reading:
    basis = "n" if quantity in ("ammonia", "nitrite", "nitrate") else "none"
    return Reading(AT, quantity, ReadingValue("exact", value, value, basis))


def answered(*see: str, readings: dict[str, float] | None = None, **more: object) -> TroubleAnswers:
    taken = tuple(read(quantity, value) for quantity, value in (readings or {}).items())
    return TroubleAnswers(see=see, readings=taken, **more)


def told(*see: str, readings: dict[str, float] | None = None, **more: object) -> Trouble:
    return find_trouble(answered(*see, readings=readings, **more))


def chances(*see: str, readings: dict[str, float] | None = None, **more: object) -> Chances:
    """Of all causes, without the checks and the hour, which take most of the time."""
    return weigh(answered(*see, readings=readings, **more)).shares


def likeliest(found: Chances) -> str:
    return max(found, key=lambda key: found[key])


def test_causes_are_ranked_and_their_chances_are_one_together() -> None:
    found = told("gasping")
    ranked = [cause.probability for cause in found.causes]
    assert ranked == sorted(ranked, reverse=True)
    assert sum(ranked) == pytest.approx(1.0)
    assert found.causes[0].key == "low-oxygen"
    assert {cause.key: cause.probability for cause in found.causes} == chances("gasping")


def test_signs_alone_leave_most_open_and_say_so() -> None:
    found = told("hiding")
    assert found.open_bits > 0.8 * found.asked_bits
    assert found.causes[0].probability < 0.3
    assert told().open_bits == pytest.approx(told().asked_bits)


@pytest.mark.parametrize(
    ("cause", "see", "more"),
    [
        ("chlorine", ("gasping", "darting"), {"done": ("water-raw",), "since": "hours"}),
        ("nitrite", ("lying",), {"readings": {"nitrite": 2.0, "ammonia": 0.3}, "age_days": 25}),
        ("ammonia", ("lying",), {"readings": {"ammonia": 3.0, "ph": 7.8}, "age_days": 12}),
        ("colonies-lost", ("lying",), {"readings": {"ammonia": 2.0}, "age_days": 500,
                                       "done": ("filter-cleaned",)}),
        ("low-oxygen", ("gasping",), {"readings": {"oxygen": 2.0}}),
        ("hot", ("gasping",), {"readings": {"temperature": 33.0}}),
        ("ph-crash", ("hiding",), {"readings": {"ph": 5.8, "kh": 0.0, "ammonia": 1.0}}),
        ("old-drift", ("hiding",), {"readings": {"nitrate": 50.0}, "age_days": 900,
                                    "done": ("months",)}),
        ("parasite-signs", ("white-spots", "rubbing"), {}),
        ("fungal-signs", ("fuzz",), {"who": "one-animal"}),
        ("aggression", ("chasing", "ragged-fins"), {}),
        ("gas-laden", ("bubbles",), {"done": ("water-change",)}),
        ("kit-fault", ("as-usual",), {"readings": {"ammonia": 4.0, "ph": 7.5}, "age_days": 400}),
        ("nothing", ("as-usual", "cloudy-white"), {"age_days": 5}),
    ],
)  # fmt: skip
def test_textbook_cases_are_told_first(
    cause: str, see: tuple[str, ...], more: dict[str, object]
) -> None:
    assert likeliest(chances(*see, **more)) == cause


def test_clean_readings_speak_against_ammonia_and_nitrite() -> None:
    before = chances("gasping")
    after = chances("gasping", readings={"ammonia": 0.0, "nitrite": 0.0, "ph": 7.4})
    assert after["ammonia"] < 0.2 * before["ammonia"]
    assert after["nitrite"] < 0.2 * before["nitrite"]
    assert after["low-oxygen"] > before["low-oxygen"]


def test_a_jump_is_seen_by_what_was_read_before_it() -> None:
    plain = chances("lying", readings={"gh": 16.0})
    before = chances("lying", readings={"gh": 16.0}, before=(read("gh", 5.0),))
    assert before["mineral-jump"] > 3.0 * plain["mineral-jump"]


def test_what_was_looked_for_and_not_found_counts_more_than_what_was_not_named() -> None:
    named = chances("rubbing")
    looked = chances("rubbing", absent=("white-spots",))
    assert looked["parasite-signs"] < named["parasite-signs"]


def test_a_chlorine_cause_needs_a_change_and_a_forgotten_one_is_not_excluded() -> None:
    none = chances("gasping", done=("none",))["chlorine"]
    open_ = chances("gasping", done=("heat",), partly=True)["chlorine"]
    assert 0.0 < none < 0.35 * chances("gasping")["chlorine"]
    assert open_ > none


def test_a_kit_of_coarse_steps_tells_less_than_a_fine_one() -> None:
    def with_steps(*steps: float) -> float:
        kit = Kit("k", "drop", (KitScale("ammonia", steps=steps, basis="n"),))
        taken = Reading(AT, "ammonia", ReadingValue("exact", 0.0, 0.0, "n"), kit="k")
        answers = TroubleAnswers(see=("lying",), readings=(taken,), kits={"k": kit})
        return weigh(answers).shares["ammonia"]

    assert with_steps(0.0, 3.0, 6.0) > 2.0 * with_steps(0.0, 0.2, 0.5, 1.0, 2.0)


def test_what_can_be_tested_at_hand_comes_first() -> None:
    kit = Kit("mine", "drop", (KitScale("nitrite", steps=(0.0, 0.1, 0.3, 0.8), basis="n"),))
    found = find_trouble(TroubleAnswers(see=("gasping",), kits={"mine": kit}))
    tests = [check for check in found.checks if check.kind == "test"]
    assert [check.owned for check in tests] == sorted([c.owned for c in tests], reverse=True)
    assert {c.key for c in tests if c.owned} <= {"nitrite", "temperature"}
    first, *_ = told("gasping").checks
    assert first.key not in ("oxygen", "co2", "chlorine", "chloride"), "hardly anybody has a kit"
    assert all(check.key != "nitrite" for check in told("lying", readings={"nitrite": 0.0}).checks)


def test_information_is_none_where_causes_agree_and_all_where_a_finding_decides() -> None:
    odds = np.array([0.5, 0.5])
    assert gain(odds, np.array([[0.3, 0.3], [0.7, 0.7]])) == pytest.approx(0.0, abs=1e-12)
    assert gain(odds, np.array([[1.0, 0.0], [0.0, 1.0]])) == pytest.approx(1.0)


def test_imagined_waters_keep_to_chemistry() -> None:
    waters = imagined_waters(age_shares(30.0), None, False)["ammonia"].now
    free = waters["ammonia"] * free_ammonia_fraction(waters["ph"], waters["temperature"])
    inside = waters["ammonia"] < 11.9
    assert 0.012 < np.quantile(free[inside], 0.05) < 0.02
    crash = imagined_waters(age_shares(900.0), None, False)["ph-crash"].now
    assert np.median(crash["ph"]) < 6.3
    assert np.median(imagined_waters(age_shares(None), None, False)["co2"].now["ph"]) < 6.9


def harms(hour: FirstAid, cause: str) -> list[str]:
    """Acts that harm under a cause, read off the table alone."""
    starts = {act.key: act.start_min for act in hour.acts}
    found = []
    for act in hour.acts:
        effect = AIDS.effects[act.key, cause]
        if effect.effect == "harms":
            remedy = starts.get(effect.unless)
            latest = act.start_min + (SOON_MIN if effect.when == "with" else 0.0)
            if remedy is None or remedy > latest:
                found.append(act.key)
    return found


def test_meanwhile_harms_under_no_cause_still_possible() -> None:
    rng = random.Random(8)  # noqa: S311 - which cases are tried
    for _ in range(20):
        see = rng.sample(tuple(TABLES.signs), rng.randint(0, 3))
        done = rng.sample(TABLES.done, rng.randint(0, 2))
        values = {"ammonia": rng.choice([0, 0.5, 3]), "ph": rng.choice([5.5, 7, 8.4]),
                  "temperature": rng.choice([15, 25, 33])}  # fmt: skip
        kept = {q: v for q, v in values.items() if rng.random() < 0.5}
        hour = meanwhile(weigh(answered(*see, done=tuple(done), readings=kept)))
        for cause in hour.causes:
            if cause.open or cause.share >= 0.005:
                assert not harms(hour, cause.key), (see, done, kept, cause.key)


def test_signs_of_illness_call_for_a_veterinarian_and_name_no_disease() -> None:
    assert "signs" in told("white-spots").veterinarian
    assert {"dying", "suffering"} <= set(told("deaths-all", "off-balance").veterinarian)
    assert told("cloudy-white").veterinarian == ()


def _drawn(rng: np.random.Generator) -> tuple[str, TroubleAnswers]:
    """A cause and answers by the program's own tables."""
    keys = SHOWN
    prior = np.array([sum(age_chances(TABLES.causes[k], age_shares(None)).values()) for k in keys])
    key = keys[rng.choice(len(keys), p=prior / prior.sum())]
    hard = rng.choice([0.6, 1.25])
    see = []
    for sign, row in TABLES.signs.items():
        brought = min(hard * TABLES.shows[key].get(sign, 0.0), 0.97)
        there = 1.0 - (1.0 - row.otherwise) * (1.0 - brought)
        if rng.random() < there * row.named:
            see.append(sign)
    cause = TABLES.causes[key]
    while True:
        did = {deed for deed, chance in TABLES.doings[key].items() if rng.random() < chance}
        if not cause.needs or did & set(cause.needs):
            break
    done = [d for d in TABLES.done if rng.random() < (REMEMBERED if d in did else WRONGLY)]
    who = rng.choice(TABLES.who, p=list(TABLES.settings[key]["who"].values()))
    return key, TroubleAnswers(see=tuple(see), who=str(who), done=tuple(done) or ("none",))


def test_by_its_own_tables_its_chances_are_what_they_say() -> None:
    rng = np.random.default_rng(5)
    prior = {key: sum(age_chances(TABLES.causes[key], age_shares(None)).values()) for key in SHOWN}
    waters = imagined_waters(age_shares(None), None, False)
    firsts, right, score, entropy = [], [], [], []
    for _ in range(300):
        truth, answers = _drawn(rng)
        by = {
            k: told_by(c, answers, waters[k], TABLES)
            for k, c in TABLES.causes.items()
            if k in SHOWN
        }
        shares = weighed(prior, by, misled=0.0)
        first = max(shares, key=lambda key: shares[key])
        firsts.append(shares[first])
        right.append(first == truth)
        score.append(-np.log2(shares[truth]))
        entropy.append(entropy_bits(shares))
    print(f"first right {np.mean(right):.3f}, said {np.mean(firsts):.3f}")
    assert np.mean(right) == pytest.approx(np.mean(firsts), abs=3.0 * 0.5 / 17.0)
    assert np.mean(score) == pytest.approx(np.mean(entropy), abs=0.3)


def test_what_wanders_from_week_to_week_speaks_for_no_cause() -> None:
    """A water that is 2 degrees under what it was is no proof of one cause, if it is a hint."""
    before = (read("temperature", 24.0),)
    found = chances("gasping", readings={"temperature": 22.0}, before=before)
    assert found["gas-laden"] < 0.3
    assert found["low-oxygen"] > 0.05


def test_as_usual_and_signs_that_nobody_names_count_once() -> None:
    said = chances("as-usual", readings={"ammonia": 0.0, "nitrite": 0.0})
    assert said["nothing"] + said["kit-fault"] > 0.5
    assert max(said.values()) < 0.9


def test_a_chance_never_says_that_the_tables_cannot_err() -> None:
    sure = chances("white-spots", "rubbing", "clamped-fins", who="all", since="days")
    assert likeliest(sure) == "parasite-signs"
    assert sure["parasite-signs"] < 0.995


def test_newcomers_alone_from_other_water_are_a_cause_of_their_own() -> None:
    calm = {"ammonia": 0.0, "nitrite": 0.0, "gh": 14.0, "ph": 7.6}
    found = chances("lying", "hiding", who="newcomers", since="hours", done=("newcomers",),
                    readings=calm)  # fmt: skip
    assert likeliest(found) == "other-water"
    everybody = chances("lying", "hiding", who="all", since="hours", done=("water-change",))
    assert everybody["other-water"] < 0.02


def test_that_newcomers_suffer_is_no_second_proof_that_some_came() -> None:
    alone = chances("rubbing", who="newcomers")
    besides = chances("rubbing", who="newcomers", done=("newcomers",), partly=True)
    assert besides["parasite-signs"] == pytest.approx(alone["parasite-signs"], rel=0.2)


def test_what_began_weeks_ago_did_not_come_of_yesterday() -> None:
    def times(since: str) -> float:
        cleaned, not_ = (
            chances("lying", since=since, done=done)["colonies-lost"]
            for done in (("filter-cleaned",), ("heat",))
        )
        return cleaned / not_

    assert times("a-day") > 3.0 * times("weeks") > 1.0


def test_a_change_of_water_moves_it_and_is_no_jump_for_that() -> None:
    def jumped(*done: str) -> float:
        before = (read("kh", 4.0), read("temperature", 25.5))
        found = chances("lying", done=done, readings={"kh": 5.0, "temperature": 24.0},
                        before=before)  # fmt: skip
        return found["ph-swing"] / found["parasite-signs"]

    plain = chances("lying", done=("water-change",))
    without = plain["ph-swing"] / plain["parasite-signs"]
    assert jumped("water-change") < without


def test_one_animal_has_nobody_to_harry_it_and_is_all_there_is() -> None:
    one = chances("hiding", who="all", heads=1, kinds_kept=1)
    assert "aggression" not in one
    assert chances("hiding", who="one-animal", heads=1, kinds_kept=1) == pytest.approx(one)
