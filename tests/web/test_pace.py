"""How long something has still to go is told by how far it came while it was looked at."""

from __future__ import annotations

import pytest

from watervane.web.pace import Pace
from watervane.wording.pages import left_words


def test_time_left_follows_from_the_way_made() -> None:
    pace = Pace()
    assert pace.look("a", "fit", 0.2, 100.0).left_s is None
    assert pace.look("a", "fit", 0.21, 130.0).left_s is None  # hardly anything to go by
    told = pace.look("a", "fit", 0.4, 140.0)
    assert told.left_s == pytest.approx(40.0 * 0.6 / 0.2)
    assert told.waited_s == pytest.approx(40.0)
    assert pace.look("b", "fit", 0.4, 140.0).left_s is None
    assert pace.look("a", "future", 0.0, 141.0).left_s is None  # another part has its own pace
    assert pace.look("a", "future", 0.5, 151.0).left_s == pytest.approx(10.0)


def test_what_begins_anew_is_not_held_against_what_was() -> None:
    pace = Pace()
    pace.look("a", "fit", 0.5, 0.0)
    assert pace.look("a", "fit", 0.1, 10.0).left_s is None
    assert pace.look("a", "fit", 0.9, 1000.0).waited_s == 0.0


@pytest.mark.parametrize(
    ("left_s", "told"),
    [(20.0, "under a minute"), (61.0, "about 2 minutes"), (3000.0, "about 50 minutes"),
     (9000.0, "about 2.5 hours")],
)  # fmt: skip
def test_time_left_is_told_no_finer_than_it_is_known(left_s: float, told: str) -> None:
    assert left_words(left_s) == told
