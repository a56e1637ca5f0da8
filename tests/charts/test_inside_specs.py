"""Ledger and colonies drawn: nothing lost, nothing overlapping, nothing told by shade alone."""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator
from typing import Any

import pytest
import vl_convert
from sample_inside import sample_colonies, sample_ledger

from watervane.app.inside_pictures import colonies_picture, ledger_picture
from watervane.charts.colonies_spec import colonies_spec
from watervane.charts.ledger_spec import NARROW, RIBBONS, WIDE, ledger_spec
from watervane.charts.living import still_colonies, still_ledger
from watervane.charts.render import VEGA_LITE

LEDGER = sample_ledger()
PICTURES = [ledger_picture(LEDGER, stretch) for stretch in LEDGER.stretches]
COLONIES = colonies_picture(sample_colonies())


def _rows(spec: dict[str, Any], mark: str) -> Iterator[dict[str, Any]]:
    for layer in spec["layer"]:
        if layer["mark"]["type"] == mark:
            yield from layer["data"]["values"]


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_ribbons_of_each_side_fill_the_tank_without_a_gap(picture: Any, width: int) -> None:
    spec = ledger_spec(picture, width=width)
    assert vl_convert.vegalite_to_vega(spec, vl_version=VEGA_LITE)["marks"]
    for side, groups in (("0", picture.left), ("1", picture.right)):
        ends: dict[str, dict[str, Any]] = {}
        for row in _rows(spec, "area"):
            if row["of"].startswith(f"{side} "):
                near = ends.get(row["of"])
                if near is None or abs(row["x"] - width / 2) < abs(near["x"] - width / 2):
                    ends[row["of"]] = row
        met = sorted((row["y"], row["y2"]) for row in ends.values())
        assert len(met) == sum(len(group.flows) for group in groups)
        assert met[-1][1] - met[0][0] == pytest.approx(RIBBONS, abs=0.1)
        for (_, bottom), (top, _) in itertools.pairwise(met):
            assert top == pytest.approx(bottom, abs=0.05)


@pytest.mark.parametrize("picture", PICTURES)
def test_ribbons_are_as_tall_as_their_nitrogen(picture: Any) -> None:
    spec = ledger_spec(picture)
    whole = sum(flow.amount_mg_n for group in picture.left for flow in group.flows)
    flows = [flow for group in picture.left for flow in group.flows]
    tall = {row["of"]: row["y2"] - row["y"] for row in _rows(spec, "area")}
    for place, flow in enumerate(flows):
        expected = RIBBONS * flow.amount_mg_n / whole
        assert tall[f"0 {place}"] == pytest.approx(expected, abs=0.03)


@pytest.mark.parametrize("picture", PICTURES)
def test_every_ribbon_has_its_name_and_number_and_no_two_lie_on_one_another(picture: Any) -> None:
    spec = ledger_spec(picture, width=NARROW)
    texts = {(row["text"], row["x"] < NARROW / 2, row["y"]) for row in _rows(spec, "text")}
    for at_left, groups in ((True, picture.left), (False, picture.right)):
        here = {text for text, left, _ in texts if left is at_left}
        for group in groups:
            assert group.name in here
            assert {each for flow in group.flows for each in (flow.name, flow.told)} <= here
        heights = sorted(y for _, left, y in texts if left is at_left)
        assert min(b - a for a, b in itertools.pairwise(heights)) >= 13.0
        assert 0.0 < heights[0] < heights[-1] < spec["height"]


def test_a_described_drawing_tells_every_number_it_shows() -> None:
    for picture in PICTURES:
        for group in (*picture.left, *picture.right):
            assert all(f"{flow.name} {flow.told}" in picture.description for flow in group.flows)


@pytest.mark.parametrize(("width", "rows"), [(WIDE, 2), (NARROW, 6)])
def test_colonies_have_a_panel_each_in_every_habitat(width: int, rows: int) -> None:
    spec = colonies_spec(COLONIES, width=width)
    json.dumps(spec, allow_nan=False)
    assert vl_convert.vegalite_to_vega(spec, vl_version=VEGA_LITE)["marks"]
    assert len(spec["vconcat"]) == rows
    panels = [p for row in spec["vconcat"] for p in row.get("hconcat", [row])]
    assert [panel["title"]["text"] for panel in panels] == [
        f"{name} eaters, {where}"
        for name in ("Ammonia", "Nitrite")
        for where in ("bed", "filter", "other surfaces")
    ]
    for panel in panels:
        assert len(panel["data"]["values"]) == len(COLONIES.times)
        styles = [layer["mark"].get("style") for layer in panel["layer"]]
        assert {"outer-band", "inner-band", "median", "load"} <= set(styles)
        for row in panel["data"]["values"]:
            assert row["p05"] <= row["p25"] <= row["p50"] <= row["p75"] <= row["p95"]


def test_panels_of_one_colony_share_their_scale() -> None:
    spec = colonies_spec(COLONIES, width=NARROW)
    tops = [panel["layer"][0]["encoding"]["y"]["scale"]["domain"][1] for panel in spec["vconcat"]]
    assert len(set(tops[:3])) == len(set(tops[3:])) == 1


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("narrow", [True, False])
def test_stills_fit_their_page_in_both_lights(look: str, narrow: bool) -> None:
    paper = "#fcfaf5" if look == "light" else "#15181a"
    for spec in (
        still_ledger(PICTURES[0], look, narrow=narrow),
        still_colonies(COLONIES, look, narrow=narrow),
    ):
        drawn = vl_convert.vegalite_to_svg(spec, vl_version=VEGA_LITE)
        head = drawn[:400]
        width = float(head.split('width="')[1].split('"')[0])
        assert width <= (330 if narrow else 780)
        assert paper in drawn.lower()
