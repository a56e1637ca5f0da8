"""One row of a day program: actions, then physics to the row's end."""

from __future__ import annotations

import numpy as np

from watervane.chemistry.carbonate import Speciation, solve_forms
from watervane.chemistry.carbonate_constants import CarbonateConstants
from watervane.process.actions import Noise, Row, act
from watervane.process.arrays import Array, apart, jnp
from watervane.process.equilibria import MG_CO2_PER_MMOL, equilibria
from watervane.process.integrate import ProcessSystem, extents_step
from watervane.process.rates.animals import animal_rates
from watervane.process.rates.conditions import Conditions, Geometry, Parameters
from watervane.process.rates.gases import gas_rates
from watervane.process.rates.minerals import mineral_rates
from watervane.process.rates.nitrifiers import (
    GUILDS,
    HABITATS,
    colony_rates,
    growth_potential_per_d,
    wake_target,
)
from watervane.process.rates.organics import organic_rates
from watervane.process.rates.plants import plant_rates
from watervane.process.state import COLUMN, COMPONENTS, MATRIX, WATER, RowReport, TankState
from watervane.process.warmth import cool_and_evaporate

MG_N_PER_MMOL = 14.0067
MMOL_PER_MG_N = 1.0 / MG_N_PER_MMOL
MG_CL_PER_MMOL = 35.453
WAKING_D, DOZING_D = 0.5, 3.0

_slow = tuple(p for p, k in zip(MATRIX.processes, MATRIX.kinds, strict=True) if k != "instant")
_COLONIES = tuple(f"{g}_oxidisers_{h}" for g in GUILDS for h in HABITATS)
SYSTEM = ProcessSystem(
    processes=_slow,
    coefficients=np.array(MATRIX.coefficients[: len(_slow)]),
    controls={
        **{f"growth_of_{g}_oxidisers_{h}": COLUMN[g] for g in GUILDS for h in HABITATS},
        **{f"loss_of_{c}": COLUMN[c] for c in _COLONIES},
        "oxygen_transfer": COLUMN["oxygen"],
        "carbon_dioxide_transfer": COLUMN["inorganic_carbon"],
    },
    solving_order=tuple(
        COLUMN[c] for c in ("ammonia", "nitrite", *_COLONIES, "oxygen", "inorganic_carbon")
    ),
    never_negative=tuple(
        COLUMN[c] for c in ("oxygen", "ammonia", "nitrite", "nitrate", *_COLONIES)
    ),
)


def advance_row(
    state: TankState, row: Row, theta: Parameters, geometry: Geometry, source: Array, noise: Noise
) -> tuple[TankState, RowReport]:
    """Run one row: its actions, its report, its physics.

    Temperature and volume run ahead of the chemistry; both stages of the step see
    their values at the row's middle, which keeps second order.
    """
    state = act(state, row, theta, source, noise)
    warmer = cool_and_evaporate(state, row, geometry, theta)
    middle = state._replace(
        volume_ratio=0.5 * (state.volume_ratio + warmer.volume_ratio),
        temperature_c=0.5 * (state.temperature_c + warmer.temperature_c),
    )
    chemistry = _Chemistry(middle, row, theta, geometry)
    at, saturation = chemistry.conditions(
        state.amounts, state.ph, (state.ammonia_wakefulness, state.nitrite_wakefulness)
    )
    targets = chemistry.wake_targets(at, saturation)
    awake = (state.ammonia_wakefulness, state.nitrite_wakefulness)
    dozed = tuple(_relax(w, t, row["step_d"]) for w, t in zip(awake, targets, strict=True))
    stage = _TwoStages(chemistry, at, dozed)
    amounts, _ = extents_step(SYSTEM, state.amounts, row["step_d"], stage)
    late = chemistry.wake_targets(stage.last, None)
    ended = [
        _relax(w, 0.5 * (a + b), row["step_d"])
        for w, a, b in zip(awake, targets, late, strict=True)
    ]
    report = _report(state, at, amounts, warmer, row["step_d"])
    return TankState(
        amounts, warmer.volume_ratio, warmer.temperature_c, stage.last.ph, ended[0], ended[1]
    ), report


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


class _TwoStages:
    """Hands the first stage its ready conditions, and keeps those of the second."""

    def __init__(
        self, chemistry: _Chemistry, first: Conditions, awake_late: tuple[Array, ...]
    ) -> None:
        self._chemistry = chemistry
        self._first: Conditions | None = first
        self._awake_late = awake_late
        self.last = first

    def __call__(self, amounts: Array) -> tuple[dict[str, Array], dict[str, Array]]:
        if self._first is not None:
            at, self._first = self._first, None
        else:
            at, _ = self._chemistry.conditions(amounts, self.last.ph, self._awake_late)
            self.last = at
        return self._chemistry.rates(at)


class _Chemistry:
    """Equilibria and rates at one temperature and volume."""

    def __init__(self, middle: TankState, row: Row, theta: Parameters, geometry: Geometry) -> None:
        self._row, self._theta, self._geometry = row, theta, geometry
        self._volume = middle.volume_ratio
        self._per_volume = 1.0 / middle.volume_ratio
        self._temperature = middle.temperature_c
        water = {n: middle.amounts[COLUMN[n]] * self._per_volume for n in WATER}
        self._equilibria = equilibria(
            middle.temperature_c,
            _ionic_strength(water),
            jnp.maximum(water["calcium"], 0.0),
            theta["room_co2_ppm"],
            geometry["pressure_atm"],
        )

    def conditions(
        self, amounts: Array, ph_guess: Array, awake: tuple[Array, ...]
    ) -> tuple[Conditions, None]:
        """Speciate the water at these amounts."""
        amount = {n: jnp.maximum(amounts[i], 0.0) for i, n in enumerate(COMPONENTS)}
        water = {n: amount[n] * self._per_volume for n in WATER}
        water["alkalinity"] = amounts[COLUMN["alkalinity"]] * self._per_volume
        ph, parts = _forms(
            self._equilibria.constants,
            water["alkalinity"],
            jnp.maximum(water["inorganic_carbon"], 1e-6),
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
            volume_ratio=self._volume,
            temperature_c=self._temperature,
            ph=ph,
            free_ammonia_mg_n_per_l=parts.ammonia * MG_N_PER_MMOL,
            nitrous_acid_mg_n_per_l=parts.nitrous_acid * MG_N_PER_MMOL,
            co2_mmol_per_l=parts.co2,
            carbonate_mmol_per_l=parts.carbonate,
            co2_slope=slope,
            ammonia_wakefulness=awake[0],
            nitrite_wakefulness=awake[1],
        ), None

    def rates(self, at: Conditions) -> tuple[dict[str, Array], dict[str, Array]]:
        """All rates per day, and the slopes of those that are solved implicitly."""
        theta, geometry, row = self._theta, self._geometry, self._row
        rates: dict[str, Array] = {}
        slopes: dict[str, Array] = {}
        for guild in GUILDS:
            guild_rates, guild_slopes, _ = colony_rates(guild, at, theta, geometry, row)
            rates |= guild_rates
            slopes |= guild_slopes
        fixed = self._equilibria
        gas, gas_slopes = gas_rates(
            at,
            theta,
            geometry,
            row,
            fixed.oxygen_saturation_mg_per_l,
            fixed.co2_saturation_mmol_per_l,
        )
        product = 1e-6 * at.concentration["calcium"] * at.carbonate_mmol_per_l
        rates |= gas
        rates |= organic_rates(at, theta)
        rates |= animal_rates(at, theta, row)
        rates |= plant_rates(at, theta, geometry, row)
        rates |= mineral_rates(at, geometry, product * fixed.calcite_per_product)
        slopes |= gas_slopes
        return rates, slopes

    def wake_targets(self, at: Conditions, _: None) -> tuple[Array, ...]:
        """Wakefulness each guild tends to."""
        theta = self._theta
        return tuple(
            wake_target(
                growth_potential_per_d(g, at, theta),
                at.concentration[g]
                / (at.concentration[g] + theta[f"{g}_oxidiser_half_saturation"]),
                theta[f"{g}_oxidiser_decay_per_d"],
            )
            for g in GUILDS
        )


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
    return 0.5e-3 * jnp.maximum(single + 4.0 * (water["calcium"] + water["magnesium"]), 0.0)


def _report(
    state: TankState, at: Conditions, amounts: Array, warmer: TankState, step_d: Array
) -> RowReport:
    per_volume, per_late = 1.0 / state.volume_ratio, 1.0 / warmer.volume_ratio
    before = {n: state.amounts[COLUMN[n]] * per_volume for n in WATER}
    colonies = [sum(state.amounts[COLUMN[f"{g}_oxidisers_{h}"]] for h in HABITATS) for g in GUILDS]
    outputs = jnp.stack(
        [
            before["ammonia"],
            before["nitrite"],
            before["nitrate"],
            at.free_ammonia_mg_n_per_l,
            at.ph,
            before["alkalinity"],
            before["oxygen"],
            state.temperature_c,
            at.co2_mmol_per_l * MG_CO2_PER_MMOL,
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
