"""One specification to SVG, PNG, PDF or a page that needs nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from watervane.charts.page import page
from watervane.charts.picture import Picture
from watervane.charts.score_spec import ScorePicture, score_spec
from watervane.charts.spec import forecast_spec
from watervane.charts.theme import LIGHT, config

VEGA_LITE = "6.4"
ENDINGS = (".svg", ".png", ".pdf", ".html")
SCORE_ENDINGS = ENDINGS[:-1]
PNG_SCALE = 2.0


def render(picture: Picture, ending: str) -> bytes:
    """The picture as the bytes of a file.

    Parameters
    ----------
    picture
        What to draw.
    ending
        One of ``ENDINGS``.

    Raises
    ------
    ValueError
        For any other ending.
    """
    if ending == ".html":
        return page(picture).encode()
    return _drawn(forecast_spec(picture), ending, ENDINGS)


def _drawn(bare: Mapping[str, Any], ending: str, endings: tuple[str, ...]) -> bytes:
    import vl_convert as vlc  # a second to load: only when a picture is asked for

    spec = {**bare, "config": config(LIGHT)}
    if ending == ".svg":
        return vlc.vegalite_to_svg(spec, vl_version=VEGA_LITE).encode()
    if ending == ".png":
        return vlc.vegalite_to_png(spec, vl_version=VEGA_LITE, scale=PNG_SCALE)
    if ending == ".pdf":
        return vlc.vegalite_to_pdf(spec, vl_version=VEGA_LITE)
    raise ValueError(f"a picture must end in one of {', '.join(endings)}")


def write_picture(picture: Picture, path: Path) -> None:
    """Render by the ending of ``path``; the file appears whole or not at all."""
    _write(render(picture, path.suffix.lower()), path)


def write_score_picture(picture: ScorePicture, path: Path) -> None:
    """Draw scores by the ending of ``path``, one of ``SCORE_ENDINGS``; whole or not at all."""
    _write(_drawn(score_spec(picture), path.suffix.lower(), SCORE_ENDINGS), path)


def write_drawing(spec: Mapping[str, Any], path: Path) -> None:
    """Draw any specification by the ending of ``path``, one of ``SCORE_ENDINGS``."""
    _write(_drawn(spec, path.suffix.lower(), SCORE_ENDINGS), path)


def _write(data: bytes, path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.part")
    part.write_bytes(data)
    part.replace(path)
