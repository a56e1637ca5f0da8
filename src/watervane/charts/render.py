"""One specification to SVG, PNG, PDF or a page that needs nothing else."""

from __future__ import annotations

from pathlib import Path

from watervane.charts.page import page
from watervane.charts.picture import Picture
from watervane.charts.spec import forecast_spec
from watervane.charts.theme import LIGHT, config

VEGA_LITE = "6.4"
ENDINGS = (".svg", ".png", ".pdf", ".html")
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
    import vl_convert as vlc  # a second to load: only when a picture is asked for

    spec = {**forecast_spec(picture), "config": config(LIGHT)}
    if ending == ".svg":
        return vlc.vegalite_to_svg(spec, vl_version=VEGA_LITE).encode()
    if ending == ".png":
        return vlc.vegalite_to_png(spec, vl_version=VEGA_LITE, scale=PNG_SCALE)
    if ending == ".pdf":
        return vlc.vegalite_to_pdf(spec, vl_version=VEGA_LITE)
    raise ValueError(f"a picture must end in one of {', '.join(ENDINGS)}")


def write_picture(picture: Picture, path: Path) -> None:
    """Render by the ending of ``path``; the file appears whole or not at all."""
    data = render(picture, path.suffix.lower())
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.part")
    part.write_bytes(data)
    part.replace(path)
