"""What a drawn forecast says of each of its days."""

from __future__ import annotations

from watervane.charts import Picture
from watervane.wording.day_lines import DayLine, day_lines


def days_of_picture(picture: Picture, basis: str) -> tuple[DayLine, ...]:
    """A line for each day that is drawn, the first one first."""
    happened = [(flag.at, flag.label) for flag in picture.flags]
    return day_lines(
        picture.forecast, picture.tank.readings, happened, picture.begins.date(), basis=basis
    )
