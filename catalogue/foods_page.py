"""The page of foods, plants and media: every figure of the tables with its range and its word."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from watervane.reference import Row, as_given_g, food_amounts, load_table, plant_classes

HEAD = """# Foods, plants and media

`python -m catalogue` makes this page from the tables the program reads. Every range is meant to
hold 95 of 100. "Guess" marks an estimate of ours without outside evidence, "from memory" what
nobody looked up: weigh ten of your own and write their mass into the tank file.

## Foods

One of each amount, dry, and as a scale shows it, water and all; protein and phosphorus by dry mass.

| amount | dry mass, g | as given, g | protein, % | moisture, % | phosphorus, % | on whose word |
|---|---|---|---|---|---|---|
"""
PLANTS = """
## Plants

Nitrogen that they take in good light, by the square metre of floor or surface that they cover. A
forecast goes by the words none, few and many of the tank file; these classes tell what stands
behind such a word.

| class | mg N a square metre a day | plants | on whose word | note |
|---|---|---|---|---|
"""
MEDIA = """
## Filter media

Surface that bacteria find, by the volume of the medium.

| medium | m2 a cubic metre | on whose word | note |
|---|---|---|---|
"""


def foods_page() -> str:
    """The whole page."""
    media = (row for row in load_table("media") if row.quantity == "specific surface")
    parts = (HEAD, _lines(_foods()), PLANTS, _lines(_plants()), MEDIA, _lines(_media(media)))
    return "".join(parts)


def _lines(lines: Iterable[str]) -> str:
    return "".join(f"| {line} |\n" for line in lines)


def _foods() -> Iterator[str]:
    rows = {(row.quantity, row.extra["name"]): row for row in load_table("foods")}
    for name in food_amounts():
        dry, protein, moisture, phosphorus = (
            rows[quantity, name] for quantity in ("dry mass", "protein", "moisture", "phosphorus")
        )
        given = as_given_g(name)
        words = dict.fromkeys(_word(row) for row in (dry, protein, moisture, phosphorus))
        cells = (
            name,
            _range(dry),
            f"{given.low:.2g} to {given.high:.2g}",
            *(_range(row, 100.0) for row in (protein, moisture, phosphorus)),
            ", ".join(words),
        )
        yield " | ".join(cells)


def _plants() -> Iterator[str]:
    for row in plant_classes():
        names = row.extra["aliases"].replace(";", ", ")
        yield " | ".join((row.extra["name"], _range(row), names, _word(row), row.note))


def _media(rows: Iterable[Row]) -> Iterator[str]:
    for row in rows:
        yield " | ".join((row.extra["kind"], _range(row), _word(row), row.note))


def _range(row: Row, factor: float = 1.0) -> str:
    middle = f"{factor * row.value:g}"
    if row.low is None or row.high is None:
        return middle
    return f"{middle} ({factor * row.low:g} to {factor * row.high:g})"


def _word(row: Row) -> str:
    return row.quality if row.quality == "guess" else f"{row.quality}, `{row.source}`"
