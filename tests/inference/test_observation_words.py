"""Somebody said it is fine: little evidence, and bounded however often it is said."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from observation_cases import START, drop, keyed, only_model, seen, tank, zeros

from watervane.inference.observation import can_explain, draw, possible, written
from watervane.kits.sizes import number
from watervane.records import SAID, WHOLE_WATER, Kit, Reading, ReadingValue

LINE = "line drawn None"


def word(said: str = "fine", day: int = 1) -> Reading:
    value = ReadingValue(said, None, None, "none", said)
    return Reading(at=START.replace(day=day), quantity=WHOLE_WATER, value=value)


def levels(ammonia, nitrite=0.0) -> dict[str, object]:
    return {"ammonia_mg_n_per_l": ammonia, "nitrite_mg_n_per_l": nitrite}


@given(ammonia=st.floats(0.0, 30.0), nitrite=st.floats(0.0, 30.0), line=st.floats(-3.0, 3.0))
def test_fine_and_not_fine_add_up_to_certainty(ammonia: float, nitrite: float, line: float) -> None:
    chance = 0.0
    for said in SAID:
        model = only_model(Kit("drop"), [word(said)])
        at = seen([word(said)], levels(np.array([ammonia]), nitrite))
        chance += float(np.exp(model.log_likelihood(at, {LINE: np.array([line])}))[0, 0])
    assert chance == pytest.approx(1.0)


def test_it_is_weak_evidence() -> None:
    model = only_model(Kit("drop"), [word()])
    at = seen([word()], levels(np.array([0.0, 0.5, 5.0, 50.0])))
    rows = np.exp(model.log_likelihood(at, zeros(model, 4)))[0]
    assert (np.diff(rows) < 0.0).all()
    assert rows[0] / rows[-1] < 3.0


def test_said_again_and_again_it_tells_no_more_than_the_careless_share_allows() -> None:
    told = [word("fine", day) for day in range(1, 26)]
    model = only_model(Kit("drop"), told)
    at = seen(told, levels(np.array([0.0, 50.0])))
    total = model.log_likelihood(at, zeros(model, 2)).sum(axis=0)
    assert total[0] - total[1] < -np.log(number("fine_anyway_chance")) + 0.1


def test_nitrite_counts_as_well() -> None:
    model = only_model(Kit("drop"), [word()])
    at = seen([word()], levels(np.zeros(2), np.array([0.0, 5.0])))
    rows = model.log_likelihood(at, zeros(model, 2))
    assert rows[0, 0] > rows[0, 1]


def test_run_forwards_fine_is_said_as_often_as_it_is_likely() -> None:
    members = 40_000
    model = only_model(Kit("drop"), [word()])
    at = seen([word()], levels(np.full(members, 0.7)))
    unknowns = {LINE: np.random.default_rng(6).standard_normal(members)}
    chance = np.exp(model.log_likelihood(at, unknowns))[0]
    said = model.simulate(at, unknowns, keyed(members))[0]
    assert set(np.unique(said)) == {0.0, 1.0}
    assert said.mean() == pytest.approx(chance.mean(), abs=4.0 * 0.5 / np.sqrt(members))


def test_what_can_be_said_is_listed_and_what_is_drawn_is_written_so() -> None:
    log = tank(drop())
    assert {r.value.kind for r in possible(log, word())} == set(SAID)
    assert written(log, word(), 0.0).value.kind == "not fine"
    model = only_model(Kit("drop"), [word()])
    shown = draw([model], seen([word()], levels(np.zeros(3))), zeros(model, 3), keyed(3))
    assert shown.shape == (1, 3)


def test_models_answer_for_words_but_not_for_what_nobody_models() -> None:
    assert can_explain(word())
    at = START
    told = ReadingValue("exact", 1.0, 1.0)
    assert not can_explain(Reading(at=at, quantity="phosphate", value=told))
    assert can_explain(Reading(at=at, quantity="kh", value=told, of_source_water=True))
    assert not can_explain(Reading(at=at, quantity="oxygen", value=told, of_source_water=True))
