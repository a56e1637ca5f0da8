"""Growth and loss of the two colonies in bed, filter and on other surfaces.

Growth per guild follows Monod terms for its nitrogen, oxygen and alkalinity, the pH
factor of the UCT model (ekama), inhibition by free ammonia and free nitrous acid
(Hiatt & Grady 2008 form), and a temperature factor. Each habitat sees the water
through a film: uptake U (mg N/d per litre) over an area A with transfer velocity k
adds ``U V / (k A)`` to the half-saturation, which tends to the published law
``R = 1859 (S - 0.07)/(S + 1.93)`` mg N/m2/d (zhu_chen1999) where the film is full.
"""

from __future__ import annotations

from watervane.process.arrays import Array, apart, jnp
from watervane.process.rates.conditions import Conditions, Forcing, Geometry, Parameters, monod

HABITATS = ("bed", "filter", "surface")
GUILDS = ("ammonia", "nitrite")
YIELD_MG_O2_PER_MG_N = {"ammonia": 0.16, "nitrite": 0.05}
LITRES_PER_M3 = 1000.0
HOT_LIMIT_C = 32.0


def ph_factor(ph: Array) -> Array:
    """Share of the growth rate left at a pH; 1 at 7.2 (UCT model, form from memory). [-]"""
    acid = jnp.exp(0.8544153 * (jnp.minimum(ph, 7.2) - 7.2))  # 2.35 ** (pH - 7.2)
    base = 1.13 * (9.5 - jnp.minimum(ph, 9.5)) / (9.8 - jnp.minimum(ph, 9.5))
    return jnp.where(ph < 7.2, acid, base) * jnp.clip((ph - 4.5) / 0.5, 0.0, 1.0)


def temperature_factor(theta: Array, temperature_c: Array) -> Array:
    """Growth against 20 degC: a power law up to 32 degC, gone towards 40 degC. [-]"""
    warm = jnp.exp(jnp.log(theta) * (jnp.minimum(temperature_c, HOT_LIMIT_C) - 20.0))
    return warm * jnp.clip((41.0 - temperature_c) / (41.0 - 35.0), 0.0, 1.0)


def environment_factor(guild: str, at: Conditions, theta: Parameters) -> Array:
    """Everything but nitrogen that slows growth. [-]"""
    oxygen = monod(at.concentration["oxygen"], theta[f"{guild}_oxidiser_half_saturation_oxygen"])
    alkalinity = monod(
        jnp.maximum(at.concentration["alkalinity"], 0.0), theta["half_saturation_alkalinity"]
    )
    free_ammonia = 1.0 / (
        1.0 + at.free_ammonia_mg_n_per_l / theta[f"{guild}_oxidiser_inhibition_free_ammonia"]
    )
    acid = 1.0 / (
        1.0 + at.nitrous_acid_mg_n_per_l / theta[f"{guild}_oxidiser_inhibition_nitrous_acid"]
    )
    return oxygen * alkalinity * free_ammonia * acid * ph_factor(at.ph)


@apart("guild")
def growth_potential_per_d(guild: str, at: Conditions, theta: Parameters) -> Array:
    """Growth rate with plenty of nitrogen, asleep cells not counted out. [1/d]"""
    fastest = theta[f"{guild}_oxidiser_growth_per_d"] * temperature_factor(
        theta[f"{guild}_oxidiser_theta"], at.temperature_c
    )
    return fastest * environment_factor(guild, at, theta)


@apart("guild")
def colony_rates(
    guild: str, at: Conditions, theta: Parameters, geometry: Geometry, forcing: Forcing
) -> tuple[dict[str, Array], dict[str, Array], Array]:
    """Rates and slopes of one guild in all habitats, and its hunger.

    Returns
    -------
    rates, slopes
        ``growth_of_..`` and ``loss_of_..`` [mg O2/L/d]; slopes of growth by the guild's
        nitrogen, of loss by the colony.
    saturation
        Share of the growth potential its nitrogen allows, for `wake_target`. [-]
    """
    nitrogen = at.concentration[guild]
    half = theta[f"{guild}_oxidiser_half_saturation"]
    potential = growth_potential_per_d(guild, at, theta)
    awake = at.ammonia_wakefulness if guild == "ammonia" else at.nitrite_wakefulness
    fastest = theta[f"{guild}_oxidiser_growth_per_d"] * temperature_factor(
        theta[f"{guild}_oxidiser_theta"], at.temperature_c
    )
    decay = _decay_per_d(guild, at, theta, awake)
    poison = _poison_per_d(at, theta)
    rates: dict[str, Array] = {}
    slopes: dict[str, Array] = {}
    for habitat in HABITATS:
        colony = at.amount[f"{guild}_oxidisers_{habitat}"]
        area = geometry[f"{habitat}_area_m2"] * theta[f"{habitat}_area_multiplier"] + 1e-9
        volume = geometry["volume_l"]
        running = forcing["filter_running"] if habitat == "filter" else 1.0
        fastest_growth = potential * awake * colony * running
        uptake_l_d = fastest_growth / YIELD_MG_O2_PER_MG_N[guild] * volume
        film = uptake_l_d / (theta["film_transfer_m_per_d"] * area * LITRES_PER_M3)
        if habitat == "filter":
            film = film + uptake_l_d / geometry["filter_flow_l_per_d"]
        below = half + film + nitrogen
        growth = f"growth_of_{guild}_oxidisers_{habitat}"
        rates[growth] = fastest_growth * nitrogen / below
        slopes[growth] = fastest_growth * (half + film) / (below * below * at.volume_ratio)
        fullness = colony * volume / (area * theta[f"{guild}_oxidiser_density_mg_per_m2"])
        crowding = fastest * fullness * fullness
        stifled = (1.0 - running) * theta["filter_standstill_loss_per_d"]
        loss = f"loss_of_{guild}_oxidisers_{habitat}"
        rates[loss] = colony * (decay + crowding + stifled + poison)
        slopes[loss] = decay + 3.0 * crowding + stifled + poison
    return rates, slopes, monod(nitrogen, half)


def _decay_per_d(guild: str, at: Conditions, theta: Parameters, awake: Array) -> Array:
    """Awake cells decay in full, sleeping ones at a fifth. [1/d]"""
    warm = jnp.exp(0.0953 * (jnp.minimum(at.temperature_c, 35.0) - 20.0) * 0.5)
    hot = jnp.maximum(at.temperature_c - 36.0, 0.0) * 0.5
    return theta[f"{guild}_oxidiser_decay_per_d"] * warm * (0.2 + 0.8 * awake) + hot


def _poison_per_d(at: Conditions, theta: Parameters) -> Array:
    """Kill by free chlorine, and by chloramine at a fifth of it. [1/d]"""
    residual = at.concentration["chlorine"] + 0.2 * at.concentration["chloramine"]
    return theta["chlorine_kill_l_per_mg_d"] * residual


def wake_target(potential: Array, saturation: Array, decay_per_d: Array) -> Array:
    """Share of a guild that its food keeps awake. [-]

    Near 1 while food allows growth well above upkeep, 0 without any.
    """
    fed = potential * saturation
    return fed / (fed + 0.1 * decay_per_d)
