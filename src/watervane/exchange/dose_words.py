"""From a keeper's words and a label to a dose."""

from __future__ import annotations

import re
from collections.abc import Sequence

from watervane.exchange.doubts import MOST_L
from watervane.exchange.problems import TankFileErrors, shown
from watervane.exchange.word_reader import Words
from watervane.records import Finding, OwnAnimal
from watervane.records.doses import DosedAnimal, DoseWish, LabelRate, LoggedDose
from watervane.units import (
    UnitError,
    parse_concentration,
    parse_days,
    parse_duration_h,
    parse_hardness_dkh,
    parse_length_cm,
    parse_mass_g,
    parse_reading,
    parse_temperature_c,
    parse_volume_l,
)

MOST_TIMES = 100
_BETWEEN = re.compile(r",\s+|(?<!\d),")
WATER = ("ph", "kh", "temperature", "ammonia", "chloramine")
_RATE = re.compile(
    r"^\s*(?P<amount>[0-9.,/ ]*[0-9])\s*(?P<unit>[a-z. ]+?)\s*(?:/|\bper\b|\bto\b|\bfor\b|\bon\b)"
    r"\s*(?P<water>\S.*?)\s*$",
    re.IGNORECASE,
)
_SPOON = re.compile(r"spoon|\btsp|\btbsp|\bcap(?:ful)?s?\b|pinch|cup|squirt|tablet", re.IGNORECASE)
_DROPS = re.compile(r"^drops?$", re.IGNORECASE)
_SHARE = re.compile(r"^\s*(?P<number>\d+(?:[.,]\d+)?)\s*%\s*$")
_STOCK = re.compile(
    r"^\s*(?P<count>\d{1,4})\s+(?P<species>\D.*?)(?:\s+(?P<length>[0-9.,]+\s*(?:cm|mm|in)))?\s*$"
)


class OptionReader:
    """Reads options and keeps every refusal with the option it concerns."""

    def __init__(self, words: Words) -> None:
        self.words, self.problems = words, list[Finding]()

    def text(self, name: str) -> str | None:
        told = self.words.get(name)
        return told if isinstance(told, str) and told.strip() else None

    def texts(self, name: str) -> Sequence[str]:
        told = self.words.get(name)
        return told if isinstance(told, tuple) else ()

    def refuse(self, key: str, name: str, told: str, **more: object) -> None:
        words = {"option": name, "told": shown(told), "field": name}
        self.problems.append(Finding(key, "problem", {**words, **more}))

    def refused(self, *names: str) -> bool:
        """Whether any of these was refused."""
        return any(each.arguments["field"] in names for each in self.problems)

    def number(self, name: str, kind: str) -> float | None:
        """One option in the unit of its kind; a water's quantity may be read off a kit."""
        told = self.text(name)
        if told is None:
            return None
        try:
            return _parsed(told, kind)
        except UnitError as error:
            self.refuse("dose-words", name, told, why=str(error))
        return None

    def rate(self, name: str) -> LabelRate | None:
        """So much for so much water."""
        told = self.text(name)
        if told is None:
            return None
        if _SPOON.search(told):
            self.refuse("dose-spoon", name, told)
            return None
        found = _RATE.match(told)
        if found is None:
            self.refuse("dose-label", name, told)
            return None
        water = found["water"]
        water = water if water[0].isdigit() else f"1 {water}"
        try:
            amount, unit = _amount(found["amount"].strip(), found["unit"].strip())
            per_l = parse_volume_l(water)
        except UnitError as error:
            self.refuse("dose-words", name, told, why=str(error))
            return None
        if per_l <= 0.0:
            self.refuse("dose-label-no-water", name, told)
            return None
        return LabelRate(amount, unit, per_l, " ".join(told.split()))

    def share(self, name: str, told: str) -> float:
        """A per cent of the water."""
        found = _SHARE.match(told)
        value = float(found["number"].replace(",", ".")) / 100.0 if found else 2.0
        if value > 1.0:
            self.refuse("dose-share", name, told)
            return 0.0
        return value

    def stocks(self) -> list[DosedAnimal]:
        """All animals told; a comma between two kinds parts them, one within a figure does not."""
        texts = (part for each in self.texts("animals") for part in _BETWEEN.split(each))
        return [found for each in texts if each.strip() and (found := self.stock(each.strip()))]

    def stock(self, told: str) -> DosedAnimal | None:
        """Animals that the dose reaches."""
        found = _STOCK.match(told)
        if found is None:
            return DosedAnimal(told.strip())
        length = None
        if found["length"]:
            try:
                length = parse_length_cm(found["length"])
            except UnitError as error:
                self.refuse("dose-words", "animals", told, why=str(error))
        return DosedAnimal(found["species"].strip(), int(found["count"]), length)


def read_dose_words(
    words: Words,
    volume_l: float | None = None,
    animals: Sequence[DosedAnimal] = (),
    own: Sequence[OwnAnimal] = (),
    logged: LoggedDose | None = None,
) -> DoseWish:
    """A dose as told by options.

    Parameters
    ----------
    words
        By option, without its dashes.
    volume_l
        Net volume of a tank file, where one was named. [L]
    animals, own, logged
        Of that file, with its keeper's own rows of animals and what its log tells of the substance.

    Raises
    ------
    TankFileErrors
        With every option that cannot be read; ``field`` names it.
    """
    reader = OptionReader(words)
    if reader.text("substance") is None:
        reader.refuse("dose-substance-missing", "substance", "")
    bath = reader.number("bath", "volume")
    told = reader.number("volume", "volume") if bath is None else bath
    water = volume_l if told is None else told
    if water is None and not reader.refused("bath", "volume"):
        reader.refuse("dose-volume-missing", "volume", "")
    sure = bool(words.get("sure"))
    if told is not None and told > MOST_L and not sure:
        reader.refuse("dose-much-water", "volume" if bath is None else "bath", f"{told:.0f} L")
    rate = reader.rate("label")
    if reader.text("label") is None:
        reader.refuse("dose-label-missing", "label", "")
    changes = [reader.share("changed", each) for each in reader.texts("changed")]
    between = reader.text("change")
    half_life = reader.number("half-life", "duration")
    if half_life is not None and half_life <= 0.0:
        reader.refuse("dose-half-life", "half-life", reader.text("half-life") or "")
    stock = reader.stocks()
    every, times = reader.number("every", "days"), _times(reader)
    if every is not None and every <= 0.0:
        reader.refuse("dose-every", "every", reader.text("every") or "")
    of_water = {name: reader.number(name, name) for name in WATER}
    most = reader.rate("most")
    between_share = 0.0 if between is None else reader.share("change", between)
    if reader.problems or rate is None or water is None:
        raise TankFileErrors(reader.problems)
    return DoseWish(
        substance=reader.text("substance") or "",
        rate=rate,
        volume_l=water,
        most=most,
        animals=tuple(stock) or tuple(animals),
        removed=tuple(changes),
        times=times,
        every_days=1.0 if every is None else every,
        changes=between_share,
        half_life_h=half_life,
        bath=bath is not None,
        ph=of_water["ph"],
        kh_dkh=of_water["kh"],
        temperature_c=of_water["temperature"],
        ammonia_mg_n_per_l=of_water["ammonia"],
        chloramine_mg_per_l=of_water["chloramine"],
        sure=sure,
        own_animals=tuple(own),
        logged=logged,
    )


def _times(reader: OptionReader) -> int:
    told = reader.text("times")
    if told is None:
        return 1
    if not told.isdecimal() or not 1 <= int(told) <= MOST_TIMES:
        reader.refuse("dose-times", "times", told, most=MOST_TIMES)
        return 1
    return int(told)


def _amount(number: str, unit: str) -> tuple[float, str]:
    """An amount in mL, g or drops."""
    if _DROPS.match(unit):
        return parse_mass_g(f"{number} g"), "drops"
    try:
        return parse_mass_g(f"{number} {unit}"), "g"
    except UnitError as weighed:
        if weighed.key == "unit.ambiguous":
            raise
    return 1000.0 * parse_volume_l(f"{number} {unit}"), "mL"


def _parsed(told: str, kind: str) -> float:
    plain = {
        "volume": parse_volume_l,
        "days": parse_days,
        "duration": parse_duration_h,
        "kh": parse_hardness_dkh,
        "temperature": parse_temperature_c,
    }
    if kind in plain:
        return plain[kind](told)
    read = parse_reading(told, "ph") if kind == "ph" else parse_concentration(told, kind)
    ends = [end for end in (read.low, read.high) if end is not None]
    return max(ends)
