"""Plan a bare tank: its ammonia by its load, what carries it, and how long parasites are outlasted.

A veterinarian prevails: nothing here names a disease or a medicine.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from watervane.advice.dosing import scaled_mass
from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.dilution import share_to_change
from watervane.planning.blueprint.filters import (
    ammonia_of_food_mg_n_per_d,
    areal_rate_mg_n_per_m2_d,
    media_carry_mg_n_per_l_d,
)
from watervane.process.food_need import ARRHENIUS_K, food_need_g_per_d
from watervane.records import Finding, Span
from watervane.records.quarantine import Carrying, ParasiteRound, QuarantinePlan, QuarantineWish
from watervane.reference import (
    UnknownNameError,
    animal_form,
    animal_needs,
    media_surface,
    value,
    wet_mass_g,
)
from watervane.reference.parasites import parasites

LEAST_DAYS = 28  # common practice, no source
ROUNDS = 2.0  # of a life that are outlasted: common practice, no source
BATH_H, DIP_H = 0.5, 5.0 / 60.0
OF_LEVEL = 0.1  # what a bath may add
PROTEIN = 0.42
HARMFUL_FREE_MG_N_PER_L = 0.05  # house estimate: sick gills bear less than a criterion says
LITTLE_L_PER_G = 1.0  # under a litre for a gram nothing forgives a slip: house estimate
LEAST_L, MOST_L = 0.5, 5000.0


class CannotQuarantine(Exception):
    """A plan that cannot be made; every reason at once."""

    def __init__(self, problems: tuple[Finding, ...]) -> None:
        super().__init__(", ".join(each.key for each in problems))
        self.problems = problems


def quarantine_plan(wish: QuarantineWish) -> QuarantinePlan:
    """Work the plan out.

    Parameters
    ----------
    wish
        What is asked.

    Raises
    ------
    CannotQuarantine
        For no water, nobody in it, an unknown animal or medium, or numbers out of range.
    """
    wrong = _problems(wish)
    if wrong:
        raise CannotQuarantine(wrong)
    if not wish.warmth_told:
        wish = replace(wish, temperature_c=_borne_by_all(wish))
    fasting = _fasting(wish)
    fed = _fed(wish, fasting)
    level = wish.level_mg_n_per_l
    carried = _carried_mg_n_per_l_d(wish)
    ways = [_way("changes", fed, wish)]
    if wish.seeded_l > 0.0:
        ways.append(_way("seeded", _less(fed, carried), wish))
        if wish.treated:
            row = value("kept_treatment_other")
            kept = Span(row.low or row.value, row.high or row.value)
            left = Span(carried.low * kept.low, carried.high * kept.high)
            ways.append(_way("treated", _less(fed, left), wish))
    rounds = parasite_rounds(wish.temperature_c)
    lasting = max(LEAST_DAYS, *(each.watch_d for each in rounds if each.usual))
    free = None if wish.ph is None else level * _free(wish.ph, wish.temperature_c)
    return QuarantinePlan(
        wish=wish,
        mass_g=sum(e.count * wet_mass_g(e.species, e.length_cm) for e in wish.animals),
        fasting_mg_n_per_l_d=fasting,
        fed_mg_n_per_l_d=fed,
        hours_to_level=Span(24.0 * level / fed.high, 24.0 * level / fed.low),
        ways=tuple(ways),
        media_l=_media_l(wish, fed),
        bath_l=(_bath_l(wish, fasting, BATH_H), _bath_l(wish, fasting, DIP_H)),
        rounds=rounds,
        days=lasting,
        free_ammonia_mg_n_per_l=free,
        findings=_cautions(wish, fed, free),
    )


def parasite_rounds(temperature_c: float) -> tuple[ParasiteRound, ...]:
    """Every parasite of the table at a warmth, those to be outlasted unseen first."""
    found = []
    for each in parasites().values():
        low, high = each.round_d(temperature_c)
        days = 7 * math.ceil(ROUNDS * high / 7.0 - 1e-9)
        found.append(ParasiteRound(each.id, each.scientific, each.usual, Span(low, high), days))
    return tuple(sorted(found, key=lambda one: not one.usual))


def _problems(wish: QuarantineWish) -> tuple[Finding, ...]:
    found = []
    ranges = {
        "volume": (wish.volume_l, LEAST_L, MOST_L, " L"),
        "temperature": (wish.temperature_c, 4.0, 34.0, " \N{DEGREE SIGN}C"),
        "seeded": (wish.seeded_l, 0.0, 100.0, " L"),
        "food": (100.0 * wish.food_share, 0.0, 200.0, " %"),
        "level": (wish.level_mg_n_per_l, 0.1, 2.0, " mg N/L"),
        "ph": (wish.ph or 7.0, 4.5, 9.5, ""),
    }
    for field, (told, least, most, unit) in ranges.items():
        if not least <= told <= most:
            ends = {"least": f"{least:g}", "most": f"{most:g}", "unit": unit}
            words = {"field": field, "told": f"{told:g}", **ends}
            found.append(Finding("quarantine-out-of-range", "problem", words))
    if not wish.animals:
        found.append(Finding("quarantine-nobody", "problem", {"field": "animals"}))
    for each in wish.animals:
        if not 0 < each.count <= 1000:
            ends = {"least": "1", "most": "1000", "unit": " animals"}
            words = {"field": "animals", "told": str(each.count), **ends}
            found.append(Finding("quarantine-out-of-range", "problem", words))
    try:
        media_surface(wish.medium)
    except UnknownNameError:
        words = {"name": wish.medium[:60], "field": "medium"}
        found.append(Finding("quarantine-medium", "problem", words))
    return tuple(found)


def _fasting(wish: QuarantineWish) -> Span:
    """Ammonia of fasting animals; with warmth as their uptake of oxygen. [mg N/(L d)]"""
    row = value("fasting_excretion_mg_n_per_g_d")
    warm = math.exp(ARRHENIUS_K * (1.0 / 298.15 - 1.0 / (wish.temperature_c + 273.15)))
    scaled = warm * sum(scaled_mass(each) for each in wish.animals) / wish.volume_l
    return Span(scaled * (row.low or row.value), scaled * (row.high or row.value))


def _fed(wish: QuarantineWish, fasting: Span) -> Span:
    """With food, whose nitrogen comes on top; none is lost to growth of those that are sick."""
    food = [Span(0.0, 0.0)]
    for each in wish.animals:
        need = food_need_g_per_d(wet_mass_g(each.species, each.length_cm), wish.temperature_c)
        food.append(Span(each.count * need.low, each.count * need.high))
    low, high = (
        wish.food_share * ammonia_of_food_mg_n_per_d(sum(ends), PROTEIN) / wish.volume_l
        for ends in ([f.low for f in food], [f.high for f in food])
    )
    return Span(max(fasting.low, low), max(fasting.high, high))


def _carried_mg_n_per_l_d(wish: QuarantineWish) -> Span:
    """What the medium moved in takes up, from careful to kind. [mg N/(L d)]"""
    per_l, carry = wish.seeded_l / wish.volume_l, _litre_carries(wish)
    return Span(per_l * carry.low, per_l * carry.high)


def _litre_carries(wish: QuarantineWish) -> Span:
    """What a litre of mature medium takes up. [mg N/(L d)]

    A film of a home tank is as dense as its food made it: a small share of the densest one, which
    the published rates are of.
    """
    careful = media_carry_mg_n_per_l_d(wish.medium, wish.level_mg_n_per_l, wish.temperature_c)
    rate = areal_rate_mg_n_per_m2_d(wish.level_mg_n_per_l, wish.temperature_c)
    home = value("seed_ammonia_density_mg_per_m2")
    full = value("ammonia_oxidiser_density_mg_per_m2")
    thin, thick = ((end or home.value) / full.value for end in (home.low, home.high))
    return Span(careful * thin, careful * rate.high / rate.low * min(thick, 1.0))


def _media_l(wish: QuarantineWish, fed: Span) -> Span:
    carry = _litre_carries(wish)
    return Span(fed.low * wish.volume_l / carry.high, fed.high * wish.volume_l / carry.low)


def _less(rise: Span, carried: Span) -> Span:
    return Span(max(rise.low - carried.high, 0.0), max(rise.high - carried.low, 0.0))


def _way(name: str, left: Span, wish: QuarantineWish) -> Carrying:
    level = wish.level_mg_n_per_l
    shares = Span(*(min(1.0, share_to_change(end, level)) for end in (left.low, left.high)))
    litres = Span(shares.low * wish.volume_l, shares.high * wish.volume_l)
    return Carrying(name, left, shares, litres)


def _bath_l(wish: QuarantineWish, fasting: Span, hours: float) -> float:
    """Water in which a stay adds a tenth of the level, by the highest excretion. [L]"""
    per_d = fasting.high * wish.volume_l
    return per_d * hours / 24.0 / (OF_LEVEL * wish.level_mg_n_per_l)


def _free(ph: float, temperature_c: float) -> float:
    return float(free_ammonia_fraction(ph, temperature_c))


def _liked(wish: QuarantineWish) -> Iterator[tuple[str, float, float]]:
    """Kinds whose warmth is known, with the ends of it. [degC]"""
    for name in dict.fromkeys(each.species for each in wish.animals):
        range_c = animal_needs(name).values.get("temperature")
        if range_c is not None and range_c.low is not None and range_c.high is not None:
            yield name, range_c.low, range_c.high


def _borne_by_all(wish: QuarantineWish) -> float:
    """The usual warmth where it suits all; else the middle of what suits them. [degC]"""
    ranges = [(low, high) for _, low, high in _liked(wish)]
    if all(low <= wish.temperature_c <= high for low, high in ranges):
        return wish.temperature_c
    low, high = max(low for low, _ in ranges), min(high for _, high in ranges)
    return round(0.5 * (low + high))


def _warmth(wish: QuarantineWish) -> Iterator[Finding]:
    """Whom the warmth does not suit, and that nobody told one."""
    if not wish.warmth_told:
        yield Finding("quarantine-warmth-taken", "info", {"warmth": wish.temperature_c})
    for name, low, high in _liked(wish):
        if not low <= wish.temperature_c <= high:
            told = {"name": name, "warmth": wish.temperature_c, "low": low, "high": high}
            yield Finding("quarantine-warmth-wrong", "caution", told)


def _cautions(wish: QuarantineWish, fed: Span, free: float | None) -> tuple[Finding, ...]:
    found = [Finding("quarantine-vet", "caution")]
    unknown = (e.species for e in wish.animals if animal_form(e.species).matched == "none")
    found += [Finding("quarantine-unknown", "caution", {"name": each[:60]}) for each in unknown]
    mass = sum(e.count * wet_mass_g(e.species, e.length_cm) for e in wish.animals)
    if wish.volume_l < LITTLE_L_PER_G * mass:
        found.append(Finding("quarantine-small", "caution"))
    if share_to_change(fed.high, wish.level_mg_n_per_l) >= 1.0:
        found.append(Finding("quarantine-too-much", "caution"))
    if free is not None and free > HARMFUL_FREE_MG_N_PER_L:
        told: dict[str, object] = {"free": free, "ph": wish.ph}
        found.append(Finding("quarantine-free", "caution", told))
    found += _warmth(wish)
    if wish.treated:
        found.append(Finding("quarantine-treated", "caution"))
    found.append(Finding("quarantine-apart", "info"))
    found.append(Finding("quarantine-air", "info"))
    return tuple(found)
