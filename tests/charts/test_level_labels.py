"""Labels of level lines: none on another, none outside, none on a line, however the levels lie."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.charts.level_labels import (
    LETTER_PX,
    NARROWEST_PX,
    ROW_PX,
    Course,
    Place,
    headroom,
    label_places,
)

HEIGHT = 128.0
LABELS = ("settled stays under 0.2", "may harm if kept over 0.26", "may harm at once over 2.3",
          "comfort ends over 0.2")  # fmt: skip
shares = st.floats(0.0, 1.0)


def placed(levels: list[float]) -> tuple[tuple[Place, ...], list[float]]:
    """Places, and how far each line is under the upper edge. [px]"""
    told = list(zip(levels, LABELS, strict=False))
    high = headroom(levels, 0.0, max(levels) * 1.06, HEIGHT)
    lines = [HEIGHT * (high - level) / high for level in levels]
    return label_places(told, (0.0, high), HEIGHT), lines


def meet(first: int, second: int, places: tuple[Place, ...]) -> bool:
    one, other = places[first], places[second]
    apart = one.side != other.side
    both = LETTER_PX * (len(LABELS[first]) + len(LABELS[second]))
    return abs(one.top_px - other.top_px) < ROW_PX - 0.5 and not (apart and both < NARROWEST_PX)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.02, 3.0), min_size=1, max_size=4, unique=True))
def test_labels_keep_off_each_other_off_lines_and_inside(values: list[float]) -> None:
    levels = sorted(values)
    places, lines = placed(levels)
    for first, second in combinations(range(len(levels)), 2):
        assert not meet(first, second, places)
    for place in places:
        assert place.top_px >= 0.0
        assert place.top_px + ROW_PX <= HEIGHT
        assert not any(place.top_px + 0.5 < y < place.top_px + ROW_PX - 0.5 for y in lines)


def test_labels_of_close_lines_are_stacked_in_the_order_of_their_levels() -> None:
    places, lines = placed([0.2, 0.26, 2.3])
    low, middle, high = places
    assert low.side == middle.side
    assert low.top_px - middle.top_px == pytest.approx(ROW_PX)
    assert low.top_px + ROW_PX < lines[1]  # both above both lines
    assert high.top_px + ROW_PX < lines[2]


def test_room_is_made_above_the_uppermost_line_and_only_there() -> None:
    assert headroom([], 0.0, 1.0, HEIGHT) == 1.0
    assert headroom([0.3], 0.0, 1.0, HEIGHT) == 1.0
    assert headroom([1.0], 0.0, 1.0, HEIGHT) > 1.0
    three = headroom([0.98, 0.99, 1.0], 0.0, 1.0, HEIGHT)
    assert HEIGHT * (three - 1.0) / three >= 3 * ROW_PX
    assert three > headroom([1.0], 0.0, 1.0, HEIGHT)


def test_a_label_makes_way_for_the_middle_line() -> None:
    x = tuple(share / 50 for share in range(51))
    band = tuple((0.36, 0.42, 0.48) for _ in x)  # just above a line in the middle
    told = [(0.5, LABELS[0])]
    (free,) = label_places(told, (0.0, 1.0), HEIGHT)
    (moved,) = label_places(told, (0.0, 1.0), HEIGHT, Course(x, band))
    assert free.top_px < 64 < moved.top_px
    filled = Course(x, tuple((0.0, 0.5, 1.0) if at > 0.4 else (1.0, 1.0, 1.0) for at in x))
    (aside,) = label_places([(0.8, LABELS[0])], (0.0, 1.0), HEIGHT, filled)
    assert aside.side == "left"
