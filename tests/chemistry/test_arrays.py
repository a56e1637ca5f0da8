"""One text, three kinds of number: floats, NumPy and JAX agree, compile and differentiate."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import pytest

from watervane.chemistry import (
    activity,
    ammonia,
    carbonate,
    carbonate_constants,
    conductivity,
    density,
    disinfectant,
    dissolved_carbon,
    gas_transfer,
    gases,
    hardness,
    heat,
    nitrite_chloride,
    ph_scales,
)

jax.config.update("jax_enable_x64", True)

T = np.linspace(5.0, 32.0, 7)
PH = np.linspace(6.0, 9.0, 7)
SALT = np.linspace(0.0, 35.0, 7)
ALKALINITY = np.linspace(0.2, 6.0, 7)
CARBON = np.linspace(0.3, 7.0, 7)
AMMONIA = np.linspace(0.0, 5.0, 7)
STRENGTH = np.linspace(0.0, 0.02, 7)
CO2 = np.linspace(0.4, 30.0, 7)

CALLS: dict[str, tuple[Callable[..., Any], tuple[np.ndarray, ...]]] = {
    "davies": (activity.log10_activity_davies, (T, STRENGTH)),
    "ammonium_pka": (ammonia.ammonium_pka, (T, SALT, STRENGTH)),
    "free_ammonia_fraction": (ammonia.free_ammonia_fraction, (PH, T, SALT, STRENGTH)),
    "free_ammonia_anthonisen": (ammonia.free_ammonia_anthonisen1976, (AMMONIA, PH, T)),
    "free_nitrous_acid": (ammonia.free_nitrous_acid_anthonisen1976, (AMMONIA, PH, T)),
    "nitrous_acid_fraction": (ammonia.nitrous_acid_fraction, (PH, T)),
    "nbs_minus_total": (ph_scales.nbs_minus_total, (T, SALT)),
    "constants": (
        lambda t, i: sum(carbonate_constants.carbonate_constants(t, i)),
        (T, STRENGTH),
    ),
    "ph_from_alkalinity": (
        carbonate.ph_from_alkalinity,
        (ALKALINITY, CARBON, T, STRENGTH, AMMONIA, AMMONIA),
    ),
    "solve_ph": (
        lambda a, c, t, n, i, g: carbonate.solve_ph(
            carbonate_constants.carbonate_constants(t), a, c, n, g, 3, i
        ),
        (ALKALINITY, CARBON, T, AMMONIA, STRENGTH, PH),
    ),
    "bracketed_ph": (
        lambda a, c, n, i, g: carbonate.bracketed_ph(
            carbonate_constants.carbonate_constants(25.0), a, c, n, i, g
        ),
        (ALKALINITY, CARBON, AMMONIA, STRENGTH, PH),
    ),
    "carbon_from_ph": (
        dissolved_carbon.inorganic_carbon_from_ph,
        (PH, ALKALINITY, T, STRENGTH),
    ),
    "alkalinity_from_ph": (dissolved_carbon.alkalinity_from_ph_and_co2, (PH, CO2, T)),
    "ph_from_co2": (
        dissolved_carbon.ph_from_alkalinity_and_co2,
        (ALKALINITY, CO2, T, STRENGTH),
    ),
    "calcite": (
        dissolved_carbon.calcite_saturation_index,
        (PH, ALKALINITY, CARBON, T, STRENGTH),
    ),
    "oxygen": (gases.oxygen_saturation_mg_per_l, (T, SALT)),
    "co2_saturation": (gases.co2_saturation_mg_per_l, (T, 100.0 * CO2)),
    "co2_over_oxygen": (gas_transfer.co2_over_oxygen_transfer, (T[:6],)),
    "bubbler": (
        gas_transfer.kla_of_bubbler_per_h,
        (CO2, 0.01 * ALKALINITY, 50.0 * CARBON, T),
    ),
    "gh": (hardness.gh_from_minerals, (CO2, CARBON)),
    "temporary": (hardness.temporary_hardness_dgh, (CO2, ALKALINITY)),
    "conductivity": (
        lambda s, b: conductivity.conductivity_us_per_cm_25({"sodium": s, "bicarbonate": b}),
        (ALKALINITY, CARBON),
    ),
    "dechlorinate": (
        lambda a, b, c: disinfectant.dechlorinate(a, b, c, 7.0).ammonia_released_mg_n_per_l,
        (ALKALINITY, CARBON, CO2),
    ),
    "salt_for_nitrite": (
        nitrite_chloride.sodium_chloride_wanted_mg_per_l,
        (AMMONIA, CO2),
    ),
    "density": (density.water_density_kg_per_l, (T, SALT)),
    "heat": (
        lambda w, r: heat.heat_loss(heat.faces_of_box(0.6, 0.3, 0.3, 6.0), w, r).total_w,
        (T, T[::-1]),
    ),
}


@pytest.mark.parametrize("name", CALLS)
def test_jax_compiled_equals_numpy(name: str) -> None:
    call, arguments = CALLS[name]
    plain = np.broadcast_to(call(*arguments), arguments[0].shape)
    compiled = jax.jit(call)(*(jnp.asarray(value) for value in arguments))
    assert isinstance(compiled, jax.Array)
    assert compiled.dtype == jnp.float64
    np.testing.assert_allclose(np.asarray(compiled), plain, rtol=1e-11, atol=1e-12)


COMPILED_LONG = ("bracketed_ph", "ph_from_alkalinity", "ph_from_co2")


@pytest.mark.parametrize("name", CALLS)
def test_floats_equal_arrays(name: str) -> None:
    call, arguments = CALLS[name]
    plain = np.broadcast_to(call(*arguments), arguments[0].shape)
    singles = [float(call(*map(float, values))) for values in zip(*arguments, strict=True)]
    np.testing.assert_allclose(singles, plain, rtol=1e-12, atol=1e-13)


def _compiled_soon(derivative: Callable[..., Any]) -> Callable[..., Any]:
    """One program, not one a step, and not melted together: that takes three times as long."""
    return jax.jit(derivative, compiler_options={"xla_cpu_use_fusion_emitters": False})


@pytest.mark.parametrize(
    "name",  # derivatives of solvers take longest to compile; one of them is enough
    [
        pytest.param(each, marks=[pytest.mark.slow] if each in COMPILED_LONG else [])
        for each in CALLS
    ],
)
def test_gradients_are_finite_and_right(name: str) -> None:
    call, arguments = CALLS[name]
    # The last point but one: away from the bounds where one-sided slopes differ.
    at = [float(argument[-2]) for argument in arguments]
    slopes = _compiled_soon(jax.grad(call, tuple(range(len(at)))))(*at)
    for place, (value, slope) in enumerate(zip(arguments, slopes, strict=True)):
        step = 1e-5 * max(1.0, abs(float(value[-2])))
        low, high = (
            float(call(*at[:place], at[place] + sign * step, *at[place + 1 :]))
            for sign in (-1.0, 1.0)
        )
        assert float(slope) == pytest.approx((high - low) / (2.0 * step), rel=2e-4, abs=1e-7), place


def test_gradients_survive_the_origin() -> None:
    def zeros(salinity: Any, strength: Any) -> Any:
        return ammonia.free_ammonia_fraction(8.0, 25.0, salinity, strength)

    def slope(call: Callable[..., Any], at: tuple[float, ...], place: int = 0) -> float:
        return float(_compiled_soon(jax.grad(call, place))(*at))

    assert np.isfinite(slope(zeros, (0.0, 0.001)))
    assert np.isfinite(slope(zeros, (0.0, 0.0), 1))
    assert np.isfinite(slope(lambda s: density.water_density_kg_per_l(20.0, s), (0.0,)))
    assert np.isfinite(
        slope(lambda a: carbonate.ph_from_alkalinity(a, 0.0, 25.0, 0.0, 0.0), (1.0,))
    )


def test_importing_chemistry_does_not_import_jax() -> None:
    modules = [
        "ammonia",
        "carbonate",
        "dissolved_carbon",
        "gases",
        "gas_transfer",
        "heat",
        "mixing",
        "salts",
    ]
    code = "import sys\n" + "\n".join(f"import watervane.chemistry.{name}" for name in modules)
    code += "\nfrom watervane.chemistry.carbonate import ph_from_alkalinity"
    code += "\nph_from_alkalinity(2.0, 2.1, 25.0)\nassert 'jax' not in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True)
