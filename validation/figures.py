"""Pictures of the two views, drawn as the program draws any forecast."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from validation.counting import SCORED
from validation.kept_logs import KeptLog
from validation.sentences import day_of
from validation.views import View
from watervane.app.pictures import picture_of
from watervane.charts import render
from watervane.inference.kits import reading_interval
from watervane.records import Reading, Tank
from watervane.wording import phrase
from watervane.wording.happenings import LETTERS

KINDS = dict(LETTERS.values())


def draw(log: KeptLog, view: View, path: Path) -> None:
    """Write the picture of one view.

    Parameters
    ----------
    log, view
        What to draw; thin bars are readings the forecast did not see.
    path
        Ending on ``.svg`` or ``.png``.
    """
    forecast = view.hindsight.forecast
    picture = picture_of(forecast, with_intervals(log.tank))
    used = forecast.diagnostics.readings_used
    began = f"day {day_of(log, view.as_of)}"
    # What was done later is known to these forecasts, so its flags are like the others'.
    flags = tuple(replace(flag, letter=flag.letter.upper()) for flag in picture.flags)
    done = sorted({flag.letter for flag in flags})
    words = replace(
        picture.words,
        title=f"{log.tank.name}, foretold on {began} from {used} readings",
        subtitle=(log.title,),
        description=f"{log.title}, foretold on {began} from {used} readings, beside all readings.",
        now_label=began,
        guide=(
            phrase("guide-bands"),
            phrase("guide-readings"),
            " \N{MIDDLE DOT} ".join(f"{letter}: {KINDS[letter]}" for letter in done),
        ),
    )
    path.parent.mkdir(parents=True, exist_ok=True)
    drawn = render(replace(picture, words=words, flags=flags), path.suffix)
    path.write_bytes(drawn)


def with_intervals(tank: Tank) -> Tank:
    """The tank with every reading told as the interval it stands for."""
    return replace(tank, readings=tuple(_as_interval(tank, r) for r in tank.readings))


def _as_interval(tank: Tank, reading: Reading) -> Reading:
    if reading.quantity not in SCORED or reading.value.kind in ("above", "below"):
        return reading
    low, high = reading_interval(reading, tank.kits.get(reading.kit) if reading.kit else None)
    value = replace(reading.value, kind="range", low=max(low, 0.0), high=high)
    return replace(reading, value=value)
