"""What outlives a journey: limits, order of the ways, and what makes no sense."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.planning.carrying_media import kept_shares, lent_share, problems, steps, survival
from watervane.records.resettling import CARRIED, MOVES, ColonyMove
from watervane.reference import value


def _middle(carried: str, hours: float, warmth_c: float = 20.0) -> float:
    span = survival(carried, hours, warmth_c)
    return 0.5 * (span.low + span.high)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(CARRIED), st.floats(0, 72), st.floats(1, 39), st.floats(0, 24))
def test_shares_are_shares_and_longer_is_never_better(
    carried: str, hours: float, warmth_c: float, more: float
) -> None:
    now, later = survival(carried, hours, warmth_c), survival(carried, hours + more, warmth_c)
    assert 0.0 <= now.low <= now.high <= 1.0
    assert later.low <= now.low + 1e-12
    assert later.high <= now.high + 1e-12


def test_ways_are_in_order_of_what_they_keep() -> None:
    kept = [_middle(carried, 10.0) for carried in CARRIED]
    assert kept == sorted(kept, reverse=True)
    assert survival("aired", 24.0, 20.0).low == 1.0


def test_no_time_costs_nothing_and_the_tables_give_the_rest() -> None:
    for carried in CARRIED:
        assert survival(carried, 0.0, 20.0).low == survival(carried, 0.0, 20.0).high == 1.0
    damp, rate = survival("damp", 5.0, 20.0), value("wet_out_of_water_loss_per_h")
    assert rate.low is not None
    assert rate.high is not None
    assert damp.low == pytest.approx(math.exp(-5.0 * rate.high))
    assert damp.high == pytest.approx(math.exp(-5.0 * rate.low))
    dry, row = survival("dry", 24.0, 20.0), value("kept_dried")
    assert (dry.low, dry.high) == (pytest.approx(row.low), pytest.approx(row.high))
    still = survival("covered", 6.0, 20.0)
    assert still.high == 1.0, "within the longest grace nothing is lost"
    assert still.low < 1.0, "after the shortest it is"


def test_cold_spares_warmth_harms_and_heat_or_frost_kill() -> None:
    for carried in ("covered", "damp", "dry"):
        low = [survival(carried, 12.0, warmth).low for warmth in (5.0, 20.0, 35.0)]
        assert low == sorted(low, reverse=True)
        assert low[0] > low[-1]
    for warmth in (-5.0, 45.0):
        assert survival("aired", 1.0, warmth).high <= 0.2


def test_what_is_kept_by_kind_of_move() -> None:
    house = kept_shares(ColonyMove("house", hours=3.0))
    assert set(house) == {"filter", "bed", "surface"}
    assert house["surface"].high > 0.0
    assert kept_shares(ColonyMove("house", bed=False))["bed"].high == 0.0
    half = kept_shares(ColonyMove("filter", share=0.5))
    whole = kept_shares(ColonyMove("filter"))
    assert half["filter"].high == pytest.approx(0.5 * whole["filter"].high)
    assert half["bed"].low == half["surface"].low == 1.0
    assert kept_shares(ColonyMove("larger-tank", volume_l=200.0))["surface"].high == 0.0


def test_what_is_lent_leaves_here_and_arrives_there() -> None:
    move = ColonyMove("lend", share=0.3, hours=2.0, carried="damp")
    assert kept_shares(move)["filter"].low == pytest.approx(0.7)
    lent = lent_share(move)
    assert lent is not None
    assert 0.0 < lent.low < lent.high <= 0.3
    assert lent_share(ColonyMove("house")) is None


@pytest.mark.parametrize("kind", MOVES)
def test_every_kind_has_its_steps_and_cautions(kind: str) -> None:
    keys = [each.key for each in steps(ColonyMove(kind))]
    assert len(keys) == len(set(keys)) >= 5
    assert "resettle-plug" in keys
    assert ("resettle-heavy" in keys) == (kind in ("house", "larger-tank"))
    assert "resettle-warmth" in [e.key for e in steps(ColonyMove(kind, warmth_c=3.0))]


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"hours": -1.0}, "resettle-out-of-range"),
        ({"hours": 400.0}, "resettle-out-of-range"),
        ({"share": 1.4}, "resettle-out-of-range"),
        ({"old_water": -0.1}, "resettle-out-of-range"),
        ({"warmth_c": 90.0}, "resettle-out-of-range"),
        ({"volume_l": 100.0}, "resettle-volume-for-nothing"),
        ({"kind": "larger-tank"}, "resettle-no-volume"),
        ({"kind": "lend", "share": 0.0}, "resettle-out-of-range"),
    ],
)
def test_what_makes_no_sense_is_refused(change: dict[str, object], key: str) -> None:
    move = replace(ColonyMove("house"), **change)  # type: ignore[arg-type]
    assert [each.key for each in problems(move)] == [key]
    assert problems(ColonyMove("house")) == ()
