"""The mark attaches data and changes nothing else."""

from __future__ import annotations

from typing import Any

from watervane.reference import Citation, sourced, sourced_functions


def test_the_function_itself_comes_back_with_data() -> None:
    def plain(temperature_c: float) -> float:
        return 2.0 * temperature_c

    marked: Any = sourced("emerson1975", where="eq. 1", valid={"temperature_c": (0, 50)})(plain)
    assert marked is plain
    assert marked(3.0) == 6.0
    assert marked.sources == (Citation("emerson1975", "eq. 1"),)
    assert dict(marked.valid) == {"temperature_c": (0, 50)}
    name = f"{plain.__module__}.{plain.__qualname__}"
    assert sourced_functions()[name].function is plain


def test_stacked_marks_add_citations_and_narrow_ranges() -> None:
    @sourced("davies1962", valid={"temperature_c": (0, 40), "ph": (4, 9)})
    @sourced("harned_owen1958", where="table", valid={"temperature_c": (5, 60)})
    def both(temperature_c: float, ph: float) -> float:
        return temperature_c + ph

    data: Any = both
    assert [c.key for c in data.sources] == ["davies1962", "harned_owen1958"]
    assert dict(data.valid) == {"temperature_c": (5, 40), "ph": (4, 9)}
