"""What a test would tell, against cases whose answer is known."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.advice.information import Information
from watervane.advice.questions import Answers, dated, yes_or_no

COUNT = 1000


def entropy(chance: float) -> float:
    return -(chance * np.log2(chance) + (1.0 - chance) * np.log2(1.0 - chance))


def of_groups(group: np.ndarray, table: np.ndarray) -> np.ndarray:
    """Chances that depend on the answer alone, shape (values, members)."""
    return table[:, group]


def random_case(seed: int, count: int = COUNT, values: int = 6) -> tuple[np.ndarray, Answers]:
    """Members that differ in date and read steps that depend on it somewhat."""
    rng = np.random.default_rng(seed)
    date = rng.normal(25.0, 6.0, count)
    centres = np.linspace(0.0, 1.0, values)
    level = (date - 10.0) / 30.0 + rng.normal(0.0, 0.15, count)
    near = np.exp(-((centres[:, None] - level) ** 2) / 0.02)
    spared = np.zeros(count, dtype=bool)
    return near / near.sum(axis=0), dated(np.floor(date), spared, float(count))


@pytest.mark.parametrize(("slip", "share"), [(0.05, 0.5), (0.2, 0.5), (0.1, 0.2), (0.5, 0.3)])
def test_a_date_of_two_values_and_a_kit_of_two_steps(slip: float, share: float) -> None:
    late = np.arange(COUNT) < share * COUNT
    answers = yes_or_no(late)
    table = np.array([[1.0 - slip, slip], [slip, 1.0 - slip]])
    found = Information([of_groups(answers.group, table)], answers, COUNT)
    shown = share * (1.0 - slip) + (1.0 - share) * slip
    assert found.bits[0] == pytest.approx(entropy(shown) - entropy(slip), abs=1e-9)
    assert found.error_bits[0] == pytest.approx(0.0, abs=1e-9)  # each member of a group is alike
    assert answers.open_bits == pytest.approx(entropy(share))


@pytest.mark.parametrize("count", [50, 100, 400])
def test_few_members_do_not_make_a_test_look_better_than_it_is(count: int) -> None:
    slip, errors, claimed = 0.2, [], []
    truth = 1.0 - entropy(slip)
    for seed in range(300):
        rng = np.random.default_rng(seed)
        late = np.arange(count) < count / 2
        chance = np.where(late, 1.0 - slip, slip) + 0.19 * rng.uniform(-1.0, 1.0, count)
        found = Information([np.stack([chance, 1.0 - chance])], yes_or_no(late), count)
        errors.append(found.bits[0] - truth)
        claimed.append(found.error_bits[0])
    noise = np.std(errors) / np.sqrt(len(errors))
    assert abs(np.mean(errors)) < 3.0 * noise + 0.002
    assert np.std(errors) == pytest.approx(np.mean(claimed), rel=0.2)


@pytest.mark.parametrize("count", [100, 400])
def test_the_excess_is_taken_off_where_the_answer_has_nothing_to_do_with_it(count: int) -> None:
    differences, plain = [], []
    for seed in range(300):
        rng = np.random.default_rng(seed)
        sure = (rng.random(count) < 0.3).astype(float)  # each member knows what it will read
        answers = Answers(np.arange(count) % 5)
        found = Information([np.stack([sure, 1.0 - sure])], answers, count)
        plain.append(found._plain[0])  # noqa: SLF001 - what is being corrected
        differences.append(found._plain[0] - found._excess[0])  # noqa: SLF001
    assert abs(np.mean(differences)) < 0.1 * np.mean(plain)


def test_a_kit_that_shows_all_members_the_same_tells_nothing() -> None:
    _, answers = random_case(1)
    same = np.tile(np.array([[0.2], [0.5], [0.3]]), COUNT)
    found = Information([same], answers, COUNT)
    assert found.bits[0] == pytest.approx(0.0, abs=1e-12)
    assert found.chance_bits(1) == pytest.approx(0.0, abs=1e-12)


def test_a_question_without_doubt_cannot_be_taught() -> None:
    chances, _ = random_case(2)
    found = Information([chances], yes_or_no(np.ones(COUNT, dtype=bool)), COUNT)
    assert found.bits[0] == pytest.approx(0.0, abs=1e-12)
    assert found.chance_bits(1) == pytest.approx(0.0)


@given(st.integers(0, 10_000), st.integers(30, 300), st.integers(2, 8))
def test_never_under_zero_and_never_more_than_is_open(seed: int, count: int, values: int) -> None:
    chances, answers = random_case(seed, count, values)
    found = Information([chances, chances**3 / (chances**3).sum(axis=0)], answers, count)
    assert (found.bits >= 0.0).all()
    assert (found.bits <= answers.open_bits + 1e-9).all()


@given(st.integers(0, 10_000), st.integers(4, 10))
def test_more_steps_of_a_kit_never_tell_less(seed: int, values: int) -> None:
    fine, answers = random_case(seed, COUNT, 2 * values)
    coarse = fine.reshape(values, 2, COUNT).sum(axis=1)
    found = Information([fine, coarse], answers, COUNT)
    assert found._plain[0] >= found._plain[1] - 1e-12  # noqa: SLF001 - holds exactly for it
    assert found.bits[0] >= found.bits[1] - found.error_between(0, 1)


@given(st.integers(0, 10_000))
def test_the_order_of_members_steps_and_answers_is_nothing(seed: int) -> None:
    chances, answers = random_case(seed)
    rng = np.random.default_rng(seed)
    order, steps, names = (rng.permutation(n) for n in (COUNT, len(chances), answers.count))
    first = Information([chances], answers, COUNT)
    again = Information([chances[steps][:, order]], Answers(names[answers.group[order]]), COUNT)
    assert again.bits[0] == pytest.approx(first.bits[0], abs=1e-9)
    assert again.error_bits[0] == pytest.approx(first.error_bits[0], abs=1e-9)


def test_a_perfect_test_tells_all_that_is_open() -> None:
    _, answers = random_case(3)
    perfect = of_groups(answers.group, np.eye(answers.count))
    assert Information([perfect], answers, COUNT).bits[0] == pytest.approx(answers.open_bits)


def test_chance_shows_hardly_more_than_is_claimed_for_it() -> None:
    rng = np.random.default_rng(4)
    above = 0
    for seed in range(200):
        make = partial(rng.dirichlet, np.full(5, 0.5), 200)
        answers = Answers(np.arange(200) % 6)
        found = Information([make().T for _ in range(8)], answers, 200)
        above += found.bits.max() > found.chance_bits(seed)
    assert 0.01 * 200 <= above <= 0.12 * 200  # 5 % where the claim is right


def test_members_that_descend_from_one_another_prove_less() -> None:
    chances, answers = random_case(5)
    all_apart = Information([chances], answers, COUNT)
    alike = Information([chances], answers, COUNT / 10)
    assert alike.error_bits[0] == pytest.approx(np.sqrt(10.0) * all_apart.error_bits[0])
    assert alike.chance_bits(1) == pytest.approx(10.0 * all_apart.chance_bits(1))
    assert alike.bits[0] < all_apart.bits[0]
