"""Whether our answer agrees with a competent keeper's is a check that can fail."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from evidence.situations import new_within_two_days, situations
from evidence.situations_section import GRADES, step_agrees, verdict_agrees

from watervane.advice.acts import change, check, fast

AT = datetime(2026, 6, 1, 18, tzinfo=UTC)
TOLD: dict[str, Any] = {"do": ["change"], "grave": ["act"], "share": [0.5, 0.9]}


def found(key: str = "emergency", share: float = 0.6, *kinds: str) -> dict[str, Any]:
    return {"key": key, "kinds": list(kinds or ("change",)), "share": share}


@pytest.mark.parametrize("key", ["harm-possible", "nothing-points-to-harm", "no-animals"])
def test_a_milder_verdict_does_not_agree(key: str) -> None:
    assert verdict_agrees(TOLD, found())
    assert not verdict_agrees(TOLD, found(key))


def test_a_step_of_another_kind_or_size_does_not_agree() -> None:
    assert step_agrees(TOLD, found())
    assert not step_agrees(TOLD, found("emergency", 0.3))
    assert not step_agrees(TOLD, found("emergency", 0.97))
    assert not step_agrees(TOLD, found("emergency", 0.6, "fast"))
    assert not step_agrees({**TOLD, "do": []}, found())


def test_what_is_new_within_two_days_by_hand() -> None:
    assert new_within_two_days([change(AT, 0.5, 60.0)]) == pytest.approx(0.5)
    assert new_within_two_days([change(AT, 0.5, 60.0, 7), fast(AT, 2)]) == pytest.approx(0.75)
    assert new_within_two_days([change(AT, 0.3, 60.0, 4, 2.0)]) == pytest.approx(0.3)
    assert new_within_two_days([check(AT, 0.5, 60.0, (6, 1.0), (("ammonia", 1.0),))]) == 0.0


def test_every_situation_tells_how_grave_it_is_and_how_much_is_changed() -> None:
    for each in situations():
        assert set(each["grave"]) <= set(GRADES), each["id"]
        assert ("change" in each["do"]) == ("share" in each), each["id"]
