"""Plain ink drawings as SVG: lines, stretches, hatching and words, in the colour of the text."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

Place = tuple[float, float]
LETTERS_PX = 13.0
THIN, USUAL, BOLD = 1.0, 1.4, 2.0


def px(value: float) -> str:
    """A coordinate to a hundredth of a pixel."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


class Ink:
    """One drawing. What is drawn to scale carries ``data-part``.

    Parameters
    ----------
    width, height
        Of the whole sheet, in pixels.
    name
        Begins every id in it, so that several may stand on one page.
    title, description
        What a screen reader says instead.
    """

    def __init__(
        self, width: float, height: float, name: str, title: str, description: str
    ) -> None:
        self.name = name
        told = {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {px(width)} {px(height)}",
            "width": px(width),
            "height": px(height),
            "role": "img",
            "aria-labelledby": f"{name}-title {name}-desc",
            "fill": "none",
            "stroke": "currentColor",
            "stroke-width": px(USUAL),
            "font-size": px(LETTERS_PX),
        }
        self._root = ET.Element("svg", told)
        ET.SubElement(self._root, "title", {"id": f"{name}-title"}).text = title
        ET.SubElement(self._root, "desc", {"id": f"{name}-desc"}).text = description
        self._defs = ET.SubElement(self._root, "defs")
        self._into = self._root

    def view(self, name: str) -> None:
        """What is drawn from here on belongs to one view."""
        self._into = ET.SubElement(self._root, "g", {"data-view": name})

    def dots(self, name: str, radius: float, apart: float) -> str:
        """A stipple to fill a stretch with; returns its address."""
        known = f"{self.name}-{name}"
        pattern = ET.SubElement(
            self._defs,
            "pattern",
            {
                "id": known,
                "width": px(apart),
                "height": px(apart),
                "patternUnits": "userSpaceOnUse",
            },
        )
        for at in (0.25 * apart, 0.75 * apart):
            told = {"cx": px(at), "cy": px(at), "r": px(radius), "fill": "currentColor"}
            ET.SubElement(pattern, "circle", {**told, "stroke": "none"})
        return f"url(#{known})"

    def line(
        self, start: Place, end: Place, width: float = USUAL, part: str = "", kind: str = ""
    ) -> None:
        """A straight line."""
        told = {
            "x1": px(start[0]),
            "y1": px(start[1]),
            "x2": px(end[0]),
            "y2": px(end[1]),
            "stroke-width": px(width),
        }
        self._add("line", told, part, kind)

    def block(self, low: Place, high: Place, part: str, *, filled: bool = True) -> None:
        """An upright rectangle between two corners."""
        told = {
            "x": px(min(low[0], high[0])),
            "y": px(min(low[1], high[1])),
            "width": px(abs(high[0] - low[0])),
            "height": px(abs(high[1] - low[1])),
        }
        if filled:
            told |= {"fill": "currentColor", "stroke": "none"}
        self._add("rect", told, part)

    def shape(self, points: Sequence[Place], part: str = "", fill: str = "none") -> None:
        """A closed outline."""
        self._add("polygon", {"points": _points(points), "fill": fill}, part)

    def stroke(self, points: Sequence[Place], width: float = USUAL, kind: str = "") -> None:
        """A line through points."""
        self._add("polyline", {"points": _points(points), "stroke-width": px(width)}, "", kind)

    def arrow(self, start: Place, end: Place) -> None:
        """A line that ends in a point, downwards."""
        self.line(start, end, THIN)
        tip = [(end[0] - 3.0, end[1] - 6.0), end, (end[0] + 3.0, end[1] - 6.0)]
        self.shape(tip, fill="currentColor")

    def hatch(self, low: Place, high: Place) -> None:
        """Slanted strokes under a floor or behind a wall, within two corners."""
        left, right = sorted((low[0], high[0]))
        top, bottom = sorted((low[1], high[1]))
        step, high_px, wide_px = 8.0, bottom - top, right - left
        along = max(wide_px, high_px)
        slant = min(wide_px, high_px)
        for index in range(int((along - slant) // step) + 1):
            at = index * step
            if wide_px >= high_px:
                self.line((left + at, bottom), (left + at + slant, top), THIN)
            else:
                self.line((left, top + at + slant), (right, top + at), THIN)

    def words(self, at: Place, text: str, anchor: str = "start", *, upright: bool = False) -> None:
        """A line of words; ``upright`` runs from below to above."""
        told = {
            "x": px(at[0]),
            "y": px(at[1]),
            "text-anchor": anchor,
            "fill": "currentColor",
            "stroke": "none",
        }
        if upright:
            told["transform"] = f"rotate(-90 {px(at[0])} {px(at[1])})"
        self._add("text", told).text = text

    def measure(self, start: Place, end: Place, text: str, part: str) -> None:
        """A measured stretch: a thin line between two ticks, with its length beside it."""
        flat = start[1] == end[1]
        self.line(start, end, THIN, part)
        for at in (start, end):
            tick = (0.0, 4.0) if flat else (4.0, 0.0)
            self.line((at[0] - tick[0], at[1] - tick[1]), (at[0] + tick[0], at[1] + tick[1]), THIN)
        middle = 0.5 * (start[0] + end[0]), 0.5 * (start[1] + end[1])
        if flat:
            self.words((middle[0], middle[1] - 6.0), text, "middle")
        else:
            self.words((middle[0] - 6.0, middle[1]), text, "middle", upright=True)

    def text(self) -> str:
        """The drawing as SVG."""
        return ET.tostring(self._root, encoding="unicode")

    def _add(self, name: str, told: dict[str, str], part: str = "", kind: str = "") -> ET.Element:
        more = {"data-part": part} if part else {}
        if kind:
            more["class"] = kind
        return ET.SubElement(self._into, name, {**told, **more})


def _points(points: Sequence[Place]) -> str:
    return " ".join(f"{px(x)},{px(y)}" for x, y in points)
