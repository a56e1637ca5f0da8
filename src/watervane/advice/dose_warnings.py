"""What chemistry and the tables know of a dose: what it brings, whom it harms, what it meets."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.disinfectant import ammonia_from_chloramine_mg_n_per_l
from watervane.limits import acute_criterion_epa2013
from watervane.records import Finding
from watervane.records.doses import DoseWish
from watervane.reference import Needs, animal_needs, strangers_among
from watervane.reference.dosing import (
    AMMONIA,
    BUFFER,
    CONDITIONER,
    COPPER,
    FERTILISER,
    SALT,
    TREATMENT,
    Dosed,
)
from watervane.units import conversions as mass

# How much plain salt is borne for long, g/L: the groups as the table of animals tells them.
SALT_BORNE_G_PER_L = {"hardly": 0.3, "some": 1.0, "well": 5.0}
TENDER = ("crustacean", "mollusc", "amphibian")
HARMS_SOME = (SALT, COPPER, TREATMENT, FERTILISER)
HARDLY_SALT_G_PER_L = 0.02  # no scale of a kitchen and no kit is finer
MOST_RISE_DKH = 1.0  # a day
ROUNDING = 0.05  # of that: no kitchen scale and no kit is finer
MOST_NITRATE_MG_PER_L = 20.0
OXYGEN_MG_PER_MG_SULFITE = 0.5 * 2.0 * mass.OXYGEN  # per mmol of sulfite
SULFITES = {"sodium bisulfite": 1.0, "sodium metabisulfite": 2.0}


def brought(wish: DoseWish, what: Dosed, peak: float) -> dict[str, float]:
    """What a pure substance adds to the water, by quantity; nothing for a label's mixture.

    Parameters
    ----------
    wish
        Of the dose.
    what
        The substance.
    peak
        Level in full doses.
    """
    pure = what.pure
    if pure is None or wish.rate.unit != "g" or pure.name in ("conditioner", "ammonia binder"):
        return {}
    moles = 1000.0 * wish.rate.rate * peak * pure.strength / pure.molar_mass_g_per_mol  # mmol/L
    told = {
        "kh_dkh": moles * pure.alkalinity_eq / mass.MEQ_PER_L_PER_DKH,
        "gh_dgh": moles * (pure.calcium_mol + pure.magnesium_mol) / mass.MMOL_PER_L_PER_DGH,
        "chloride_mg_per_l": moles * pure.chloride_mol * mass.CHLORINE,
        "sodium_mg_per_l": moles * pure.sodium_mol * mass.SODIUM,
        "nitrate_mg_n_per_l": moles * pure.nitrate_mol * mass.NITROGEN,
        "ammonia_mg_n_per_l": moles * pure.tan_mol * mass.NITROGEN,
        "nitrite_mg_n_per_l": moles * pure.nitrite_mol * mass.NITROGEN,
    }
    return {name: amount for name, amount in told.items() if amount > 0.0}


def warnings(wish: DoseWish, what: Dosed, peak: float) -> tuple[Finding, ...]:
    """Problems that refuse a dose, and cautions that go with it.

    Parameters
    ----------
    wish, what
        The dose.
    peak
        Highest level of the course, in full doses.
    """
    told = _Told(wish, what, peak)
    return tuple(
        finding
        for part in (
            _logged,
            _nobody,
            _strangers,
            _salt,
            _copper,
            _nitrogen,
            _buffer,
            _conditioner,
            _treatment,
            _plants,
            _bath,
        )
        for finding in part(told)
    )


@dataclass(frozen=True)
class _Told:
    wish: DoseWish
    what: Dosed
    peak: float

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(each.species for each in self.wish.animals))

    def needs(self, name: str) -> Needs:
        """Of one animal, a row of its keeper's own before ours."""
        return animal_needs(name, self.wish.own_animals)

    def tender(self) -> tuple[str, ...]:
        """Shrimps, snails, frogs and newts, and what no table knows."""
        return tuple(
            name
            for name in self.names
            if self.needs(name).group("ammonia group") in (*TENDER, "unknown")
        )


def _logged(told: _Told) -> Iterator[Finding]:
    """What the tank's log tells of it: a dose on top of one is more than the label means."""
    wish = told.wish
    if wish.logged is None or wish.bath or wish.removed:  # changes that are told go before the log
        return
    since = {"at": wish.logged.at.date(), "percent": round(100.0 * wish.logged.changed_since)}
    there = wish.logged.salt_g_per_l
    if there is None:
        yield Finding("dose-logged", "caution", since)
    elif there >= HARDLY_SALT_G_PER_L and wish.rate.unit == "g":
        missing = max(wish.rate.rate - there, 0.0) * wish.volume_l
        key = "dose-logged-salt" if missing > 0.0 else "dose-logged-enough"
        words = {**since, "there": round(there, 2), "grams": missing}
        yield Finding(key, "caution", words)


def _nobody(told: _Told) -> Iterator[Finding]:
    """Where no animals are told nobody was looked at, and the sheet must not look as if."""
    if told.what.kind in HARMS_SOME and not told.names:
        yield Finding("dose-nobody-told", "caution")


def _strangers(told: _Told) -> Iterator[Finding]:
    """Animals that no table knows: nothing is known of what harms them."""
    strangers = strangers_among(told.names, told.wish.own_animals)
    if strangers:
        yield Finding("dose-strangers", "caution", {"names": strangers})


def _salt(told: _Told) -> Iterator[Finding]:
    if told.what.kind != SALT or told.wish.rate.unit != "g":
        return
    logged = None if told.wish.bath else told.wish.logged
    there = 0.0 if logged is None else logged.salt_g_per_l or 0.0
    level = max(told.wish.rate.rate * told.peak, there)  # no more than what is missing goes in
    for name in told.names:
        group = told.needs(name).group("salt group")
        borne = SALT_BORNE_G_PER_L.get(group, SALT_BORNE_G_PER_L["hardly"])
        if level > borne and (not told.wish.bath or group in ("hardly", "unknown")):
            words = {"name": name, "g_per_l": level, "borne": f"{borne:g}", "field": "animals"}
            yield Finding("dose-salt-harms", "problem", words)
    yield Finding("dose-salt-stays", "caution")


def _copper(told: _Told) -> Iterator[Finding]:
    if told.what.kind == COPPER:
        tender = told.tender()
        if tender:
            yield Finding("dose-copper-harms", "problem", {"names": tender, "field": "animals"})
        yield Finding("dose-copper-soft", "caution")


def _nitrogen(told: _Told) -> Iterator[Finding]:
    if told.what.kind == AMMONIA and told.names:
        words = {"name": told.what.name, "field": "animals"}
        yield Finding("dose-ammonia-animals", "problem", words)
    elif told.what.kind == AMMONIA:
        yield Finding("dose-ammonia-bare", "caution")


def _buffer(told: _Told) -> Iterator[Finding]:
    rise = brought(told.wish, told.what, 1.0).get("kh_dkh", 0.0)
    if told.what.kind != BUFFER:
        return
    if rise > MOST_RISE_DKH * (1.0 + ROUNDING):
        days = math.ceil(rise / MOST_RISE_DKH - ROUNDING)
        yield Finding("dose-buffer-slowly", "caution", {"rise_dkh": rise, "days": days})
    wish = told.wish
    if wish.ph is None or wish.ammonia_mg_n_per_l is None:
        yield Finding("dose-buffer-ammonia", "caution")
        return
    if not rise or not wish.kh_dkh:
        yield Finding("dose-buffer-unknown", "caution")
        return
    yield from _ammonia_after(told, rise)


def _ammonia_after(told: _Told, rise_dkh: float) -> Iterator[Finding]:
    """Free ammonia before and after, once the water holds as much carbon dioxide as before."""
    wish = told.wish
    if wish.ph is None or wish.kh_dkh is None or wish.ammonia_mg_n_per_l is None:
        return
    warmth = 25.0 if wish.temperature_c is None else wish.temperature_c
    after = wish.ph + math.log10((wish.kh_dkh + rise_dkh) / wish.kh_dkh)
    tan = wish.ammonia_mg_n_per_l
    free = [tan * float(free_ammonia_fraction(ph, warmth)) for ph in (wish.ph, after)]
    words = {"ph": wish.ph, "after": after, "free": free[0], "free_after": free[1]}
    passed = tan > float(acute_criterion_epa2013(after, warmth))
    severity = "problem" if passed and told.names else "caution" if tan else "info"
    key = "dose-buffer-frees" if tan else "dose-buffer-lifts"
    if severity == "problem":
        key = "dose-buffer-harms"
    yield Finding(key, severity, words | {"field": "ammonia"})


def _conditioner(told: _Told) -> Iterator[Finding]:
    if told.what.kind != CONDITIONER:
        return
    pure = told.what.pure
    taken = 0.0
    if pure is not None and pure.name in SULFITES and told.wish.rate.unit == "g":
        moles = 1000.0 * told.wish.rate.rate / pure.molar_mass_g_per_mol
        taken = moles * SULFITES[pure.name] * OXYGEN_MG_PER_MG_SULFITE
    key = "dose-conditioner-takes" if taken else "dose-conditioner-oxygen"
    yield Finding(key, "caution", {"taken": taken} if taken else {})
    if told.wish.chloramine_mg_per_l:
        freed = float(ammonia_from_chloramine_mg_n_per_l(told.wish.chloramine_mg_per_l))
        yield Finding("dose-chloramine-frees", "caution", {"freed": freed})


def _treatment(told: _Told) -> Iterator[Finding]:
    if told.what.kind not in (TREATMENT, COPPER):
        return
    if told.what.kind == TREATMENT and (tender := told.tender()):
        yield Finding("dose-treatment-tender", "caution", {"names": tender})
    yield Finding("dose-treatment-carbon", "caution")
    yield Finding("dose-treatment-air", "caution")


def _plants(told: _Told) -> Iterator[Finding]:
    nitrate = brought(told.wish, told.what, told.peak).get("nitrate_mg_n_per_l", 0.0)
    if told.what.kind == FERTILISER and nitrate:
        ion = nitrate * mass.NITRATE / mass.NITROGEN
        if ion > MOST_NITRATE_MG_PER_L:
            yield Finding("dose-nitrate-much", "caution", {"nitrate": ion})
    if told.what.kind == FERTILISER and (tender := told.tender()):
        yield Finding("dose-fertiliser-tender", "caution", {"names": tender})


def _bath(told: _Told) -> Iterator[Finding]:
    if told.wish.bath:
        yield Finding("dose-bath-watch", "caution")
