"""Shipped tables, one sourced value a row, and the sources behind them."""

from watervane.reference._sourced import (
    Citation,
    SourcedFunction,
    sourced,
    sourced_functions,
)
from watervane.reference.animal_limits import (
    AnimalValue,
    Needs,
    animal_needs,
    animal_values,
    animals_with_needs,
)
from watervane.reference.animals import (
    Animal,
    BodyForm,
    OwnRow,
    animal_form,
    body_form,
    body_forms,
    meant_instead,
    near_animal,
    own_row,
    strangers_among,
    wet_mass_g,
    wet_mass_span_g,
)
from watervane.reference.catalogue import (
    UnknownAnimalError,
    find_animal,
    nearest_names,
    shadowed,
)
from watervane.reference.catalogue_animal import CatalogueAnimal
from watervane.reference.catalogue_cells import CellProblem
from watervane.reference.catalogue_own import own_catalogued, read_own_rows, row_of
from watervane.reference.catalogue_shipped import catalogue
from watervane.reference.catalogue_waters import AnimalsWanted, fit, water_fit
from watervane.reference.foods import (
    as_given_g,
    food_amounts,
    food_moisture,
    food_phosphorus,
    food_protein,
)
from watervane.reference.media import (
    bed_row,
    grain_surface_m2_per_m3,
    media_surface,
    media_surface_m2_per_m3,
)
from watervane.reference.names import UnknownNameError
from watervane.reference.plants import plant_classes, plant_uptake
from watervane.reference.sources import Source, TableError, source, sources
from watervane.reference.substances import (
    Substance,
    substance,
    substances,
    taken_by_label,
)
from watervane.reference.tables import STARTS_COLUMNS, TABLES, Row, load_table, value

__all__ = [
    "STARTS_COLUMNS",
    "TABLES",
    "Animal",
    "AnimalValue",
    "AnimalsWanted",
    "BodyForm",
    "CatalogueAnimal",
    "CellProblem",
    "Citation",
    "Needs",
    "OwnRow",
    "Row",
    "Source",
    "SourcedFunction",
    "Substance",
    "TableError",
    "UnknownAnimalError",
    "UnknownNameError",
    "animal_form",
    "animal_needs",
    "animal_values",
    "animals_with_needs",
    "as_given_g",
    "bed_row",
    "body_form",
    "body_forms",
    "catalogue",
    "find_animal",
    "fit",
    "food_amounts",
    "food_moisture",
    "food_phosphorus",
    "food_protein",
    "grain_surface_m2_per_m3",
    "load_table",
    "meant_instead",
    "media_surface",
    "media_surface_m2_per_m3",
    "near_animal",
    "nearest_names",
    "own_catalogued",
    "own_row",
    "plant_classes",
    "plant_uptake",
    "read_own_rows",
    "row_of",
    "shadowed",
    "source",
    "sourced",
    "sourced_functions",
    "sources",
    "strangers_among",
    "substance",
    "substances",
    "taken_by_label",
    "value",
    "water_fit",
    "wet_mass_g",
    "wet_mass_span_g",
]
