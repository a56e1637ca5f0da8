"""Which unit spellings belong to which dimension, and their factors to the canonical unit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from watervane.units import conversions as c
from watervane.units.errors import UnitError, shown


@dataclass(frozen=True, slots=True)
class Unit:
    """Canonical value = (written value + ``shift``) * ``factor``."""

    factor: float
    shift: float = 0.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """One kind of quantity: its spellings, bounds and an example for messages."""

    name: str
    canonical: str
    example: str
    accepted: str  # as shown to the keeper
    units: Mapping[str, Unit]
    lowest: float = 0.0
    highest: float = 1e9
    ambiguous: Mapping[str, str] = field(default_factory=dict)  # spelling -> remedy

    def unit(self, spelling: str, raw: str) -> Unit:
        """Look a spelling up, exact case first, then any case."""
        tidy = tidy_unit(spelling)
        found = self.units.get(tidy) or self.units.get(tidy.lower())
        if found is not None:
            return found
        if tidy.lower() in self.ambiguous:
            remedy = self.ambiguous[tidy.lower()]
            raise UnitError(
                "unit.ambiguous",
                f"'{shown(raw)}': {spelling} has more than one meaning; write {remedy}.",
                read=shown(raw),
                unit=spelling,
                remedy=remedy,
            )
        if not tidy:
            raise UnitError(
                "unit.missing",
                f"'{shown(raw)}' has no unit; write for example \"{self.example}\" "
                f"(units read here: {self.accepted}).",
                read=shown(raw),
                example=self.example,
                accepted=self.accepted,
            )
        raise UnitError(
            "unit.unknown",
            f"'{shown(raw)}': the unit '{shown(spelling)}' is not one of {self.name}; "
            f"units read here: {self.accepted}.",
            read=shown(raw),
            unit=shown(spelling),
            dimension=self.name,
            accepted=self.accepted,
        )

    def canonical_value(self, value: float, unit: Unit, raw: str) -> float:
        """Convert, and refuse what lies outside the bounds of this dimension."""
        converted = (value + unit.shift) * unit.factor
        if converted < 0.0 <= self.lowest:
            raise UnitError(
                "unit.negative",
                f"'{shown(raw)}' is negative; {self.name} cannot be.",
                read=shown(raw),
                dimension=self.name,
            )
        if not self.lowest <= converted <= self.highest:
            raise UnitError(
                "unit.out-of-range",
                f"'{shown(raw)}' is out of range; {self.name} lies between {self.lowest:g} and "
                f"{self.highest:g} {self.canonical}".rstrip()
                + ".",
                read=shown(raw),
                dimension=self.name,
                lowest=self.lowest,
                highest=self.highest,
            )
        return converted


def tidy_unit(spelling: str) -> str:
    """One form of a unit spelling: degree sign as 'deg', no spaces about slashes."""
    text = spelling.replace("\u00b0", "deg")
    text = text.replace(" / ", "/").replace("/ ", "/").replace(" /", "/").replace("deg ", "deg")
    return text.strip()


def _spell(table: dict[tuple[str, ...], float]) -> dict[str, Unit]:
    return {name: Unit(factor) for names, factor in table.items() for name in names}


_US_GALLON = (
    *("us gal", "us gallon", "us gallons", "usgal", "gal us", "gallons us", "us gal."),
    *("gal (us)", "gallons (us)", "gallon (us)", "us liquid gallon"),
)
_IMPERIAL_GALLON = (
    *("imp gal", "imperial gal", "imperial gallon", "imperial gallons", "imp. gal", "uk gal"),
    *("uk gallon", "uk gallons", "gal (uk)", "gal (imp)", "gal uk", "gal imp", "impgal"),
)
_GALLON_REMEDY = "'US gal' or 'imperial gal'"

LENGTH = Dimension(
    "length",
    "cm",
    "60 cm",
    "mm, cm, m, in, ft",
    _spell(
        {
            ("mm",): 0.1,
            ("cm",): 1.0,
            ("dm",): 10.0,
            ("m",): 100.0,
            ("in", "inch", "inches", '"', "in."): c.CM_PER_INCH,
            ("ft", "foot", "feet", "'"): c.CM_PER_FOOT,
        }
    ),
    highest=1e4,
)
VOLUME = Dimension(
    "volume",
    "L",
    "57 L",
    "mL, L, m3, US gal, imperial gal",
    _spell(
        {
            ("ml", "cm3", "cc", "millilitre", "millilitres", "milliliter", "milliliters"): 1e-3,
            ("cl",): 1e-2,
            ("dl",): 0.1,
            ("l", "litre", "litres", "liter", "liters", "dm3", "ltr"): 1.0,
            ("m3",): 1000.0,
            ("ft3", "cu ft"): c.L_PER_CUBIC_FOOT,
            _US_GALLON: c.L_PER_US_GALLON,
            _IMPERIAL_GALLON: c.L_PER_IMPERIAL_GALLON,
            ("us fl oz", "us floz"): c.ML_PER_US_FLUID_OUNCE / 1000.0,
            ("us qt", "us quart", "us quarts"): c.L_PER_US_QUART,
        }
    ),
    highest=1e6,
    ambiguous={
        **dict.fromkeys(("gal", "gallon", "gallons", "gal."), _GALLON_REMEDY),
        **dict.fromkeys(("fl oz", "floz"), "'US fl oz' or mL"),
        **dict.fromkeys(("qt", "quart", "quarts"), "'US qt' or L"),
    },
)
FLOW = Dimension(
    "flow",
    "L/h",
    "300 L/h",
    "L/h, L/min, mL/min, m3/h, US gal/h, imperial gal/h",
    _spell(
        {
            ("l/h", "l/hr", "l/hour", "lph", "litres/hour", "liters/hour", "l per hour"): 1.0,
            ("l/min", "lpm"): 60.0,
            ("ml/min",): 0.06,
            ("l/s",): 3600.0,
            ("m3/h",): 1000.0,
            ("us gph", *(f"us {g}/{h}" for g in ("gal", "gallons") for h in ("h", "hour"))): (
                c.L_PER_US_GALLON
            ),
            ("imp gph", "imperial gal/h", "imperial gph", "imp gal/h", "uk gph", "uk gal/h"): (
                c.L_PER_IMPERIAL_GALLON
            ),
        }
    ),
    highest=1e6,
    ambiguous=dict.fromkeys(("gph", "gal/h", "gal/hr", "gallons/hour"), "'US gph' or 'imp gph'"),
)
POWER = Dimension(
    "power",
    "W",
    "75 W",
    "W, kW",
    _spell({("w", "watt", "watts"): 1.0, ("kw",): 1000.0}),
    highest=1e5,
)
MASS = Dimension(
    "mass",
    "g",
    "0.05 g",
    "mg, g, kg, oz, lb",
    _spell(
        {
            ("ug",): 1e-6,
            ("mg",): 1e-3,
            ("g", "gram", "grams", "gramme", "grammes", "gr"): 1.0,
            ("kg",): 1000.0,
            ("oz", "ounce", "ounces"): c.G_PER_OUNCE,
            ("lb", "lbs", "pound", "pounds"): c.G_PER_POUND,
        }
    ),
    highest=1e7,
)
_HOURS: dict[tuple[str, ...], float] = {
    ("s", "sec", "second", "seconds"): 1.0 / 3600.0,
    ("min", "mins", "minute", "minutes"): 1.0 / 60.0,
    ("h", "hr", "hrs", "hour", "hours"): 1.0,
    ("d", "day", "days"): c.HOURS_PER_DAY,
    ("w", "week", "weeks", "wk"): 7 * c.HOURS_PER_DAY,
}
_CALENDAR = dict.fromkeys(("month", "months", "year", "years"), "a number of days or weeks")
DURATION = Dimension(
    "duration",
    "h",
    "2 h",
    "min, h, d, weeks",
    _spell(_HOURS),
    highest=1e6,
    ambiguous={**_CALENDAR, "m": "'min' for minutes"},
)
DAYS = Dimension(
    "time",
    "d",
    "1 d",
    "h, d, weeks",
    _spell({names: hours / c.HOURS_PER_DAY for names, hours in _HOURS.items()}),
    highest=1e5,
    ambiguous={**_CALENDAR, "m": "'min' for minutes"},
)
ALTITUDE = Dimension(
    "altitude",
    "m",
    "350 m",
    "m, km, ft",
    _spell(
        {
            ("m", "metre", "metres", "meter", "meters"): 1.0,
            ("km",): 1000.0,
            ("ft", "feet"): c.CM_PER_FOOT / 100.0,
        }
    ),
    lowest=-500.0,
    highest=6000.0,
)
_CELSIUS = ("degC", "degc", "c", "celsius", "deg celsius", "degrees c", "degrees celsius")
_FAHRENHEIT = ("degF", "degf", "f", "fahrenheit", "deg fahrenheit", "degrees f")
TEMPERATURE = Dimension(
    "temperature",
    "degC",
    "25 degC",
    "degC, \u00b0C, degF, \u00b0F",
    {
        **dict.fromkeys(_CELSIUS, Unit(1.0)),
        **dict.fromkeys(_FAHRENHEIT, Unit(1.0 / 1.8, -32.0)),
    },
    lowest=-50.0,
    highest=100.0,
)
CONDUCTIVITY = Dimension(
    "conductivity",
    "uS/cm",
    "450 uS/cm",
    "\u00b5S/cm, mS/cm, mS/m",
    _spell({("us/cm",): 1.0, ("ms/cm",): 1000.0, ("ms/m",): 10.0, ("us/m",): 0.01}),
    highest=2e5,
)
PH = Dimension("pH", "", "7.6", "no unit", {"": Unit(1.0), "ph": Unit(1.0)}, highest=14.0)

_CACO3 = ("mg/l as caco3", "mg/l caco3", "mg caco3/l", "ppm as caco3", "ppm caco3", "ppm")
_DEGREE = 1.0 / c.MG_CACO3_PER_DEGREE
_HARDNESS_IN_CACO3: dict[tuple[str, ...], float] = {
    _CACO3: _DEGREE,
    ("degdh", "dh", "german degrees", "german degree"): 1.0,
    ("mg/l as cao", "mg/l cao", "mg cao/l"): 0.1,
    ("degfh", "fh", "french degrees", "french degree", "degf", "degth"): (
        c.MG_CACO3_PER_FRENCH_DEGREE * _DEGREE
    ),
    ("dege", "degclark", "clark", "clark degrees", "english degrees", "english degree"): (
        c.MG_CACO3_PER_ENGLISH_DEGREE * _DEGREE
    ),
    ("grains/gal", "gpg", "grains/us gal", "grain/gal", "gr/gal", "grains per gallon"): (
        c.MG_CACO3_PER_GRAIN_PER_US_GALLON * _DEGREE
    ),
}
_HARDNESS_BARE = {"mg/l": "'mg/L as CaCO3'"}
CARBONATE_HARDNESS = Dimension(
    "carbonate hardness",
    "dKH",
    "5 dKH",
    "dKH, meq/L, mmol/L, mg/L as CaCO3, ppm, mg/L as HCO3, French degrees, English degrees, "
    "grains/gal",
    _spell(
        {
            **_HARDNESS_IN_CACO3,
            ("dkh", "degdkh", "degkh", "kh"): 1.0,
            # one equivalent of acid a mole: acid capacity as waterworks print it
            ("meq/l", "mmol/l", "mval/l"): 1.0 / c.MEQ_PER_L_PER_DKH,
            ("mg/l hco3", "mg/l as hco3", "mg hco3/l", "mg/l hco3-", "mg/l as hco3-"): (
                1.0 / c.MG_HCO3_PER_DKH
            ),
        }
    ),
    highest=1000.0,
    ambiguous={"mg/l": "'mg/L as CaCO3' or 'mg/L as HCO3'"},
)
GENERAL_HARDNESS = Dimension(
    "general hardness",
    "dGH",
    "8 dGH",
    "dGH, mmol/L, meq/L, mg/L as CaCO3, ppm, French degrees, English degrees, grains/gal",
    _spell(
        {
            **_HARDNESS_IN_CACO3,
            ("dgh", "degdgh", "deggh", "gh"): 1.0,
            ("mmol/l",): 1.0 / c.MMOL_PER_L_PER_DGH,
            ("meq/l", "mval/l"): 0.5 / c.MMOL_PER_L_PER_DGH,
        }
    ),
    highest=1000.0,
    ambiguous=_HARDNESS_BARE,
)
