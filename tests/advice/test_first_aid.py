"""First aid: over all answers no act harms under a cause still open; what comes first in each."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.advice.first_aid import (
    FIRST,
    HOUR_MIN,
    LAST,
    LEAST_LIKELY,
    SOON_MIN,
    acts_in_order,
    cause_shares,
    first_aid,
    open_causes,
    ranked,
    scheduled,
)
from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.records.first_aid import AidAnswers
from watervane.reference.first_aid import Act, aid_tables

TABLES = aid_tables()
CAUSES = tuple(TABLES.causes)
DONE_SETS = [
    deeds
    for size in range(1, len(TABLES.done) + 1)
    for deeds in itertools.combinations(TABLES.done, size)
]
ALL_DONE = [(), ("none",), *DONE_SETS]
ALL_TOLD = [*((done, False) for done in ALL_DONE), *((done, True) for done in DONE_SETS)]
ALL_TESTS = [
    {test: level for test, level in zip(TABLES.levels, levels, strict=True) if level}
    for levels in itertools.product(*(("", *told) for told in TABLES.levels.values()))
]


def keys(answers: AidAnswers) -> list[str]:
    return [act.key for act in first_aid(answers).acts]


def harms(order: list[Act], left_open: frozenset[str]) -> Iterator[tuple[str, str]]:
    """Acts that harm under an open cause, given what is done before them or soon after.

    Written against the table alone, not with the functions that make the order.
    """
    starts, clock = {}, 0.0
    for act in order:
        starts[act.key] = clock
        clock += act.minutes
    for act in order:
        for cause in left_open:
            told = TABLES.effects[act.key, cause]
            if told.effect != "harms":
                continue
            remedy = starts.get(told.unless)
            latest = starts[act.key] + (SOON_MIN if told.when == "with" else 0.0)
            if remedy is None or remedy > latest:
                yield act.key, cause


def test_every_pair_is_told_with_reason_and_origin_and_no_cause_is_idle() -> None:
    assert len(TABLES.effects) == len(TABLES.acts) * len(CAUSES)
    assert all(each.reason and each.source for each in TABLES.effects.values())
    for cause in CAUSES:
        effects = {TABLES.effects[act, cause].effect for act in TABLES.acts if act != "bleach"}
        assert effects & {"helps", "harms"} or cause == "nothing", cause


def test_each_answer_has_chances_that_sum_to_one() -> None:
    for cause in CAUSES:
        assert sum(TABLES.signs[cause].values()) == pytest.approx(1.0)
        for levels in TABLES.tests[cause].values():
            assert sum(levels.values()) == pytest.approx(1.0)
        assert all(0.0 < chance < 1.0 for chance in TABLES.doings[cause].values())


def test_what_is_to_be_left_alone_harms_under_some_cause() -> None:
    for act in TABLES.acts.values():
        if act.kind == "leave":
            assert any(TABLES.effects[act.key, cause].effect == "harms" for cause in CAUSES)


def _rate_matrices() -> tuple[list[str], np.ndarray, np.ndarray]:
    acts = [a for a in TABLES.acts.values() if a.kind == "do" and a.key not in (FIRST, LAST)]
    share = np.array([[TABLES.effects[a.key, c].share for a in acts] for c in CAUSES])
    hours = np.array([TABLES.causes[c].hours for c in CAUSES])
    minutes = np.array([a.minutes for a in acts])
    return [a.key for a in acts], share / hours[:, None] / minutes, share > 0.0


def _test_chances() -> np.ndarray:
    return np.array(
        [
            [
                np.prod([TABLES.tests[c][test][level] for test, level in tests.items()])
                for c in CAUSES
            ]
            for tests in ALL_TESTS
        ]
    )


def _done_chances(done: tuple[str, ...], partly: bool) -> np.ndarray:
    if not done:
        return np.ones(len(CAUSES))
    chances = np.array([[TABLES.doings[c][deed] for deed in TABLES.done] for c in CAUSES])
    ticked = np.isin(TABLES.done, done)
    return np.where(ticked, chances, 1.0 if partly else 1.0 - chances).prod(axis=1)


def _orders_of_all_answers() -> set[tuple[frozenset[str], tuple[str, ...]]]:
    """Every ranking of acts that any answers lead to, with the causes those leave open."""
    names, rate, helps = _rate_matrices()
    tested = _test_chances()
    priors = np.array([TABLES.causes[c].prior for c in CAUSES])
    signs = [np.ones(len(CAUSES))] + [
        np.array([TABLES.signs[c][see] for c in CAUSES]) for see in TABLES.seen
    ]
    packed: dict[frozenset[str], set[int]] = {}
    base, none = 16 ** np.arange(len(names), dtype=np.int64), len(names)
    for done, partly in ALL_TOLD:
        sets = [open_causes(AidAnswers("", done, tests, partly), TABLES) for tests in ALL_TESTS]
        mask = np.array([[c in left for c in CAUSES] for left in sets])
        kinds = {left: np.array([left == each for each in sets]) for left in set(sets)}
        before = priors * _done_chances(done, partly) * tested * mask
        for sign in signs:
            weights = before * sign
            total = weights.sum(axis=1, keepdims=True)
            even = mask / mask.sum(axis=1, keepdims=True)
            shares = np.where(total > 0.0, weights / np.where(total > 0.0, total, 1.0), even)
            worth = shares @ helps >= LEAST_LIKELY
            order = np.argsort(-np.where(worth, shares @ rate, -1.0), axis=1, kind="stable")
            code = (np.where(np.take_along_axis(worth, order, 1), order, none) * base).sum(axis=1)
            for left, which in kinds.items():
                packed.setdefault(left, set()).update(np.unique(code[which]).tolist())
    return {
        (left, tuple(names[i] for i in _unpacked(code, len(names)) if i < none))
        for left, codes in packed.items()
        for code in codes
    }


def _unpacked(code: int, count: int) -> list[int]:
    return [code // 16**place % 16 for place in range(count)]


@pytest.mark.slow
def test_over_all_answers_no_act_harms_under_any_cause_still_open() -> None:
    """Eight signs, 432 sets of tests, 4,096 sets of deeds: 2,047 count twice, alone and in part."""
    found = _orders_of_all_answers()
    print(f"{len(ALL_TOLD) * len(ALL_TESTS) * 8} answers, {len(found)} rankings")
    for left_open, wanted in found:
        order = scheduled(wanted, left_open, TABLES)
        assert list(harms(order, left_open)) == [], (wanted, sorted(left_open))
        assert order[0].key == FIRST
        assert order[-1].key == LAST
        assert sum(act.minutes for act in order[:-1]) <= HOUR_MIN


def test_the_rankings_of_the_exhaustive_check_are_those_that_are_used() -> None:
    names, rate, helps = _rate_matrices()
    draw = random.Random(8)  # noqa: S311 - the same answers each time
    for _ in range(300):
        done, partly = draw.choice(ALL_TOLD)
        answers = AidAnswers(draw.choice(("", *TABLES.seen)), done, draw.choice(ALL_TESTS), partly)
        shares = cause_shares(answers, TABLES)
        given_shares = np.array([shares[c] for c in CAUSES])
        rates = given_shares @ rate
        worth = given_shares @ helps >= LEAST_LIKELY
        used = ranked(shares, TABLES)
        assert {names[i] for i in np.flatnonzero(worth)} == set(used)
        told = [rates[names.index(key)] for key in used]
        assert told == sorted(told, reverse=True)


@given(
    weights=st.lists(st.floats(0.0, 1.0), min_size=len(CAUSES), max_size=len(CAUSES)),
    ruled_out=st.sets(st.sampled_from(CAUSES), max_size=len(CAUSES) - 1),
)
@settings(max_examples=300, deadline=None)
def test_whatever_the_weights_and_the_causes_left_nothing_harms(
    weights: list[float], ruled_out: set[str]
) -> None:
    left_open = frozenset(CAUSES) - ruled_out
    shares = {c: w if c in left_open else 0.0 for c, w in zip(CAUSES, weights, strict=True)}
    order = acts_in_order(shares, left_open, TABLES)
    assert list(harms(order, left_open)) == []


def test_the_check_finds_what_it_looks_for() -> None:
    acid = frozenset({"ammonium-acid"})
    air, bind, change = (TABLES.acts[key] for key in ("air", "bind", "change-fifth"))
    assert list(harms([air], acid)) == [("air", "ammonium-acid")]
    assert list(harms([air, bind], acid)) == []
    assert list(harms([air, TABLES.acts["carbon"], bind], acid)) == [("air", "ammonium-acid")]
    assert list(harms([change, bind], acid)) == [("change-fifth", "ammonium-acid")]
    assert list(harms([TABLES.acts["warm"]], frozenset({"hot"}))) == [("warm", "hot")]


@pytest.mark.parametrize("done", [(), ("none",), ("stopped",), ("heat",), ("newcomers",)])
def test_gasping_air_at_once_and_ammonia_taken_away_with_it(done: tuple[str, ...]) -> None:
    told = first_aid(AidAnswers("gasping", done))
    assert [act.key for act in told.acts[:2]] == ["mains", "air"]
    starts = {act.key: act.start_min for act in told.acts}
    assert starts["bind"] - starts["air"] <= SOON_MIN


def test_what_is_told_at_once_harms_under_no_open_cause_though_nothing_follows() -> None:
    for see, (done, partly) in itertools.product(("", *TABLES.seen), ALL_TOLD[::160]):
        answers = AidAnswers(see, done, partly=partly)
        told = first_aid(answers)
        begun = [TABLES.acts[act.key] for act in told.acts[: told.at_once]]
        assert len(begun) >= 2
        assert len(begun) <= 6 or done  # the pages show it where nothing is told of deeds yet
        assert list(harms(begun, open_causes(answers, TABLES))) == []
    told = first_aid(AidAnswers("gasping"))
    assert [act.key for act in told.acts[:2]] == ["mains", "air"]
    assert told.acts[told.at_once - 1].key == "bind"  # air alone may wake ammonium


def test_air_needs_no_remedy_once_ph_is_read_high() -> None:
    order = keys(AidAnswers("gasping", ("none",), {"ph": "high", "ammonia": "none"}))
    assert order[1] == "air"
    left_open = open_causes(AidAnswers("", (), {"ph": "high"}), TABLES)
    assert "ammonium-acid" not in left_open


def test_raw_tap_water_is_dechlorinated_first() -> None:
    assert keys(AidAnswers("usual", ("water-raw",)))[:3] == ["mains", "dechlorinate", "air"]
    assert keys(AidAnswers("gasping", ("water-raw",)))[:3] == ["mains", "air", "dechlorinate"]
    for see in TABLES.seen:
        assert "dechlorinate" in keys(AidAnswers(see, ("water-raw",)))[:4]


def test_spilt_food_goes_out_before_all_else() -> None:
    assert keys(AidAnswers("usual", ("food-spilt",)))[:3] == ["mains", "clear", "air"]
    assert keys(AidAnswers("gasping", ("food-spilt",)))[:3] == ["mains", "air", "clear"]


def test_warmth_is_touched_only_where_it_was_read() -> None:
    for see, done in itertools.product(("", *TABLES.seen), ALL_DONE[:80]):
        assert not {"cool", "warm"} & set(keys(AidAnswers(see, done)))
    assert "cool" in keys(AidAnswers("gasping", ("heat",), {"temperature": "high"}))
    assert "warm" in keys(AidAnswers("listless", (), {"temperature": "low"}))


def test_no_water_is_changed_where_the_tap_may_be_the_cause() -> None:
    for done in ((), ("water-raw",), ("water-change",)):
        assert not {"change-fifth", "change-tenth"} & set(keys(AidAnswers("gasping", done)))
    assert "change-fifth" in keys(AidAnswers("gasping", ("none",)))
    assert "change-tenth" in keys(AidAnswers("deaths", ("months",)))


def test_where_no_water_is_changed_a_cause_still_open_is_the_reason() -> None:
    tests: list[dict[str, str]] = [{}, {"ammonia": "some", "ph": "high"}, {"nitrite": "some"}]
    changed = 0
    for see, done, read in itertools.product(("", *TABLES.seen), ALL_DONE[:14], tests):
        answers = AidAnswers(see, done, read)
        told, left_open = first_aid(answers), open_causes(answers, TABLES)
        change = {act.key for act in told.acts} & {"change-fifth", "change-tenth"}
        assert bool(change) is not bool(told.no_change), answers
        assert set(told.no_change) <= left_open
        for cause in told.no_change:
            assert TABLES.effects["change-tenth", cause].effect == "harms"
        changed += bool(change)
    assert changed > 50
    read = {"ammonia": "some", "ph": "high"}
    assert "metal" in first_aid(AidAnswers("gasping", (), read)).no_change
    assert "change-fifth" in keys(AidAnswers("gasping", ("none",), read))


def test_what_goes_on_from_the_first_deeds_harms_under_no_open_cause() -> None:
    """The page tells what holds whatever happened, then of each case only what is left to do."""
    for see in TABLES.seen:
        begun = first_aid(AidAnswers(see))
        first = [act.key for act in begun.acts[: begun.at_once]]
        for done in ALL_DONE[:14]:
            answers = AidAnswers(see, done)
            rest = [act.key for act in first_aid(answers).acts if act.key not in first]
            order = [TABLES.acts[key] for key in (*first, *rest)]
            assert list(harms(order, open_causes(answers, TABLES))) == [], (see, done)


def test_not_knowing_what_else_was_done_rules_nothing_out_and_counts_what_is_named() -> None:
    for done in DONE_SETS[:80]:
        alone, wider = AidAnswers("", done), AidAnswers("", done, partly=True)
        assert open_causes(alone, TABLES) <= open_causes(wider, TABLES)
        assert open_causes(wider, TABLES) == open_causes(AidAnswers(), TABLES)
    nobody = cause_shares(AidAnswers("gasping"), TABLES)
    for deed in TABLES.done:
        told = cause_shares(AidAnswers("gasping", (deed,), partly=True), TABLES)
        points = {c: TABLES.doings[c][deed] for c in CAUSES}
        most = max(points, key=lambda cause: points[cause])
        assert told[most] > nobody[most], (deed, most)


def test_a_likely_cause_stays_likely_when_more_is_ticked_and_the_rest_unknown() -> None:
    named = AidAnswers("gasping", ("water-raw", "months"), {"ph": "low"}, partly=True)
    told = cause_shares(named, TABLES)
    assert "chlorine" in sorted(told, key=lambda cause: -told[cause])[:3]
    assert "dechlorinate" in keys(named)[:4]
    assert told["old-drift"] > 0.0


def test_answers_that_contradict_each_other_still_get_an_hour() -> None:
    told = first_aid(AidAnswers("marks", ("none",), {"temperature": "high", "ph": "high"}))
    assert told.acts[0].key == FIRST
    assert sum(cause.share for cause in told.causes) == pytest.approx(1.0)


def test_bleach_is_always_left_alone_and_left_acts_are_never_done() -> None:
    for see, done in itertools.product(("", *TABLES.seen), ALL_DONE[:14]):
        told = first_aid(AidAnswers(see, done))
        assert "bleach" in {left.key for left in told.left}
        assert all(TABLES.acts[act.key].kind == "do" for act in told.acts)


def test_the_next_test_is_one_not_made_and_tells_most() -> None:
    told = first_aid(AidAnswers("gasping", ("filter-cleaned",)))
    assert told.next_tests[0] == "nitrite"
    after = first_aid(AidAnswers("gasping", ("filter-cleaned",), {"nitrite": "some"}))
    assert "nitrite" not in after.next_tests
    assert len(after.next_tests) == len(TABLES.levels) - 1


def test_air_in_acid_water_turns_ammonium_to_ammonia() -> None:
    """The reason of the table in figures: 3 mg N/L of TAN, from pH 6.3 to 7.5 at 25 degC."""
    before, after = (3.0 * float(free_ammonia_fraction(ph, 25.0)) for ph in (6.3, 7.5))
    assert after / before > 10.0
    assert after > 0.05
