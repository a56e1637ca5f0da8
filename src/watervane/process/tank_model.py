"""One row of a day program: actions, then physics to the row's end."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from watervane.chemistry.carbonate import Speciation, solve_forms
from watervane.chemistry.carbonate_constants import CarbonateConstants
from watervane.process.actions import Noise, Row, act
from watervane.process.arrays import Array, apart, at_least, jnp
from watervane.process.equilibria import MG_CO2_PER_MMOL, Equilibria, equilibria
from watervane.process.integrate import FirstStage, ProcessSystem, first_stage, second_stage
from watervane.process.rates.animals import animal_rates, metabolic_pace
from watervane.process.rates.conditions import Conditions, Geometry, Parameters
from watervane.process.rates.exchange import EXCHANGE, zeolite_exchange
from watervane.process.rates.gases import ammonia_escape_per_d, gas_pace, gas_rates
from watervane.process.rates.minerals import mineral_rates
from watervane.process.rates.nitrifiers import (
    GUILDS,
    HABITATS,
    ColonyPace,
    ColonySite,
    colony_pace,
    colony_rates,
    colony_site,
    environment_factor,
    ph_factor,
    second_step,
    wake_target,
)
from watervane.process.rates.organics import organic_pace, organic_rates
from watervane.process.rates.plants import plant_rates
from watervane.process.state import COLUMN, COMPONENTS, MATRIX, WATER, RowReport, TankState
from watervane.process.warmth import cool_and_evaporate

MG_N_PER_MMOL = 14.0067
MMOL_PER_MG_N = 1.0 / MG_N_PER_MMOL
MG_CL_PER_MMOL = 35.453
WAKING_D, DOZING_D = 0.5, 3.0

SECOND_STEP = "second_step_by_ammonia_oxidisers"
_slow = tuple(p for p, k in zip(MATRIX.processes, MATRIX.kinds, strict=True) if k != "instant")
_COLONIES = tuple(f"{g}_oxidisers_{h}" for g in GUILDS for h in HABITATS)
SYSTEM = ProcessSystem(
    processes=_slow,
    coefficients=np.array(MATRIX.coefficients[: len(_slow)]),
    controls={
        **{f"growth_of_{g}_oxidisers_{h}": COLUMN[g] for g in GUILDS for h in HABITATS},
        SECOND_STEP: COLUMN["ammonia"],
        **{f"loss_of_{c}": COLUMN[c] for c in _COLONIES},
        "oxygen_transfer": COLUMN["oxygen"],
        "carbon_dioxide_transfer": COLUMN["inorganic_carbon"],
        "carbon_dioxide_injection": COLUMN["inorganic_carbon"],
        EXCHANGE: COLUMN["ammonia"],
    },
    solving_order=tuple(
        COLUMN[c] for c in ("ammonia", "nitrite", *_COLONIES, "oxygen", "inorganic_carbon")
    ),
    never_negative=tuple(
        COLUMN[c] for c in ("oxygen", "ammonia", "nitrite", "nitrate", *_COLONIES)
    ),
)


class Site(NamedTuple):
    """What a tank's members keep for good.

    Parameters
    ----------
    theta, geometry
        By name, shapes (tanks, members) and (tanks, 1 or members).
    colonies
        By guild.
    """

    theta: Parameters
    geometry: Geometry
    colonies: dict[str, ColonySite]


def site_of(theta: Parameters, geometry: Geometry) -> Site:
    """Work out once what every row needs."""
    return Site(theta, geometry, {g: colony_site(g, theta, geometry) for g in GUILDS})


class Fixed(NamedTuple):
    """What one temperature and volume fix for a whole row."""

    per_volume: Array
    temperature_c: Array
    equilibria: Equilibria
    pace: dict[str, ColonyPace]
    organic_pace: Array
    metabolic_pace: Array
    gas_pace: Array
    escape_per_d: Array


class Begun(NamedTuple):
    """A row after its actions: the water then, how warm and how much at its end, what is fixed."""

    state: TankState
    warmer: TankState
    fixed: Fixed


class Halfway(NamedTuple):
    """A row after the first stage of its step: what was seen, tended to, and led to.

    Parameters
    ----------
    seen
        Free ammonia, CO2 and pH at the row's beginning. [mg N/L], [mmol/L], [-]
    targets
        Wakefulness each guild tends to.
    stage
        Of the step.
    """

    seen: tuple[Array, Array, Array]
    targets: tuple[Array, ...]
    stage: FirstStage


def advance_row(
    state: TankState, row: Row, site: Site, source: Array, noise: Noise
) -> tuple[TankState, RowReport]:
    """Run one row: its actions, its report, its physics.

    Temperature and volume run ahead of the chemistry; both stages of the step see
    their values at the row's middle, which keeps second order.
    """
    begun = begin_row(state, row, site, source, noise)
    return end_row(begun, halfway(begun, row, site), row, site)


def begin_row(state: TankState, row: Row, site: Site, source: Array, noise: Noise) -> Begun:
    """Do a row's actions, and work out what holds until its end."""
    state = act(state, row, site.theta, source, noise)
    warmer = cool_and_evaporate(state, row, site.geometry, site.theta)
    middle = state._replace(
        volume_ratio=0.5 * (state.volume_ratio + warmer.volume_ratio),
        temperature_c=0.5 * (state.temperature_c + warmer.temperature_c),
    )
    return Begun(state, warmer, fixed_by(middle, row, site))


def halfway(begun: Begun, row: Row, site: Site) -> Halfway:
    """Take the first stage of the row's step."""
    state = begun.state
    chemistry = Chemistry(begun.fixed, row, site)
    at = chemistry.conditions(state.amounts, state.ph, _awake(state))
    rates, slopes, targets = chemistry.rates(at)
    stage = first_stage(SYSTEM, state.amounts, row["step_d"], (rates, slopes))
    return Halfway((at.free_ammonia_mg_n_per_l, at.co2_mmol_per_l, at.ph), targets, stage)


def end_row(begun: Begun, half: Halfway, row: Row, site: Site) -> tuple[TankState, RowReport]:
    """Take the second stage, to the row's end; the guilds doze off or wake on the way."""
    (state, warmer, fixed), step_d = begun, row["step_d"]
    chemistry = Chemistry(fixed, row, site)
    relaxed = _relaxed(_awake(state), half.targets, step_d)
    at = chemistry.conditions(half.stage.water, half.seen[2], relaxed)
    rates, _, targets = chemistry.rates(at)
    amounts, _ = second_stage(SYSTEM, state.amounts, step_d, half.stage, rates)
    # Towards the mean of what they tended to at both stages.
    means = tuple(0.5 * (a + b) for a, b in zip(half.targets, targets, strict=True))
    ended = _relaxed(_awake(state), means, step_d)
    report = _report(state, half.seen, amounts, warmer, step_d)
    return TankState(amounts, warmer.volume_ratio, warmer.temperature_c, at.ph, *ended), report


def _awake(state: TankState) -> tuple[Array, Array]:
    return state.ammonia_wakefulness, state.nitrite_wakefulness


def _relaxed(
    awake: tuple[Array, ...], targets: tuple[Array, ...], step_d: Array
) -> tuple[Array, ...]:
    return tuple(_relax(w, t, step_d) for w, t in zip(awake, targets, strict=True))


def fixed_by(middle: TankState, row: Row, site: Site) -> Fixed:
    """Work out what the temperature, the volume and the ions of a row fix."""
    per_volume, warm = 1.0 / middle.volume_ratio, middle.temperature_c
    water = {n: middle.amounts[COLUMN[n]] * per_volume for n in WATER}
    pace_of_gas = gas_pace(warm)
    return Fixed(
        per_volume,
        warm,
        equilibria(
            warm,
            _ionic_strength(water),
            at_least(water["calcium"], 0.0),
            site.theta["room_co2_ppm"],
            site.geometry["pressure_atm"],
        ),
        {g: colony_pace(g, site.theta, site.colonies[g], warm) for g in GUILDS},
        organic_pace(warm),
        metabolic_pace(warm),
        pace_of_gas,
        ammonia_escape_per_d(warm, site.theta, site.geometry, row, pace_of_gas, per_volume),
    )


@apart()
def _forms(
    constants: CarbonateConstants,
    alkalinity: Array,
    carbon: Array,
    ammonia: Array,
    nitrite: Array,
    ph_guess: Array,
) -> tuple[Array, Speciation]:
    return solve_forms(constants, alkalinity, carbon, ammonia, ph_guess, nitrite_mmol_per_l=nitrite)


class Chemistry:
    """Equilibria and rates at one temperature and volume."""

    def __init__(self, fixed: Fixed, row: Row, site: Site) -> None:
        self._fixed, self._row, self._site = fixed, row, site

    def conditions(self, amounts: Array, ph_guess: Array, awake: tuple[Array, ...]) -> Conditions:
        """Speciate the water at these amounts."""
        amount = {n: at_least(amounts[i], 0.0) for i, n in enumerate(COMPONENTS)}
        water = {n: amount[n] * self._fixed.per_volume for n in WATER}
        water["alkalinity"] = amounts[COLUMN["alkalinity"]] * self._fixed.per_volume
        ph, parts = _forms(
            self._fixed.equilibria.constants,
            water["alkalinity"],
            at_least(water["inorganic_carbon"], 1e-6),
            water["ammonia"] * MMOL_PER_MG_N,
            water["nitrite"] * MMOL_PER_MG_N,
            ph_guess,
        )
        slope = parts.co2_share + parts.co2 * parts.mean_charge**2 / (
            parts.base_slope + parts.acid_slope
        )
        return Conditions(
            concentration=water,
            amount=amount,
            per_volume=self._fixed.per_volume,
            temperature_c=self._fixed.temperature_c,
            ph=ph,
            free_ammonia_mg_n_per_l=parts.ammonia * MG_N_PER_MMOL,
            nitrous_acid_mg_n_per_l=parts.nitrous_acid * MG_N_PER_MMOL,
            co2_mmol_per_l=parts.co2,
            carbonate_mmol_per_l=parts.carbonate,
            co2_slope=slope,
            ammonia_wakefulness=awake[0],
            nitrite_wakefulness=awake[1],
        )

    def rates(self, at: Conditions) -> tuple[dict[str, Array], dict[str, Array], tuple[Array, ...]]:
        """Work out all rates per day, the slopes of the stiff ones, the wakefulness tended to."""
        (theta, geometry, colonies), row = self._site, self._row
        rates: dict[str, Array] = {}
        slopes: dict[str, Array] = {}
        targets = []
        ph_share = ph_factor(at.ph)
        for guild in GUILDS:
            pace = self._fixed.pace[guild]
            environment = environment_factor(guild, at, theta, ph_share)
            guild_rates, guild_slopes = colony_rates(
                guild, at, theta, colonies[guild], pace, environment, row
            )
            rates |= guild_rates
            slopes |= guild_slopes
            targets.append(wake_target(guild, at, theta, pace, environment))
        growth = [f"growth_of_ammonia_oxidisers_{h}" for h in HABITATS]
        onward = second_step(theta, [rates[g] for g in growth], [slopes[g] for g in growth])
        rates[SECOND_STEP], slopes[SECOND_STEP] = onward
        fixed = self._fixed.equilibria
        gas, gas_slopes = gas_rates(
            at,
            theta,
            geometry,
            row,
            fixed.oxygen_saturation_mg_per_l,
            fixed.co2_saturation_mmol_per_l,
            self._fixed.gas_pace,
        )
        rates["escape_of_ammonia"] = self._fixed.escape_per_d * at.free_ammonia_mg_n_per_l
        product = 1e-6 * at.concentration["calcium"] * at.carbonate_mmol_per_l
        rates |= gas
        rates |= organic_rates(at, theta, self._fixed.organic_pace)
        rates |= animal_rates(at, theta, row, self._fixed.metabolic_pace)
        rates |= plant_rates(at, theta, geometry, row)
        rates[EXCHANGE], slopes[EXCHANGE] = zeolite_exchange(at)
        rates |= mineral_rates(at, geometry, product * fixed.calcite_per_product)
        slopes |= gas_slopes
        return rates, slopes, tuple(targets)


def _relax(awake: Array, target: Array, step_d: Array) -> Array:
    """Waking takes half a day, dozing off three."""
    waking, dozing = jnp.exp(-step_d / WAKING_D), jnp.exp(-step_d / DOZING_D)
    return target + (awake - target) * jnp.where(target > awake, waking, dozing)


def _ionic_strength(water: dict[str, Array]) -> Array:
    """Ionic strength of fresh water from what the model carries. [mol/L]"""
    single = (
        jnp.abs(water["alkalinity"])
        + water["sodium"]
        + water["chloride"]
        + (water["ammonia"] + water["nitrite"] + water["nitrate"]) * MMOL_PER_MG_N
    )
    return 0.5e-3 * at_least(single + 4.0 * (water["calcium"] + water["magnesium"]), 0.0)


def _report(
    state: TankState,
    seen: tuple[Array, Array, Array],
    amounts: Array,
    warmer: TankState,
    step_d: Array,
) -> RowReport:
    free_ammonia_mg_n_per_l, co2_mmol_per_l, ph = seen
    per_volume, per_late = 1.0 / state.volume_ratio, 1.0 / warmer.volume_ratio
    before = {n: state.amounts[COLUMN[n]] * per_volume for n in WATER}
    colonies = [sum(state.amounts[COLUMN[f"{g}_oxidisers_{h}"]] for h in HABITATS) for g in GUILDS]
    outputs = jnp.stack(
        [
            before["ammonia"],
            before["nitrite"],
            before["nitrate"],
            free_ammonia_mg_n_per_l,
            ph,
            before["alkalinity"],
            before["oxygen"],
            state.temperature_c,
            co2_mmol_per_l * MG_CO2_PER_MMOL,
            before["calcium"] + before["magnesium"],
            before["chlorine"] + before["chloramine"],
            before["chloride"] * MG_CL_PER_MMOL,
            colonies[0],
            colonies[1],
            state.volume_ratio,
        ]
    )
    integrals = jnp.stack(
        [0.5 * step_d * (before[n] + amounts[COLUMN[n]] * per_late) for n in ("ammonia", "nitrite")]
    )
    return RowReport(outputs, integrals)
