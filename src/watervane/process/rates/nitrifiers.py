"""Growth and loss of the two colonies in bed, filter and on other surfaces.

Growth per guild follows Monod terms for its nitrogen, oxygen and alkalinity, the pH
factor of the UCT model (ekama), inhibition by free ammonia and free nitrous acid
(Hiatt & Grady 2008 form), and a temperature factor. Each habitat sees the water
through a film: uptake U (mg N/d per litre) over an area A with transfer velocity k
adds ``U V / (k A)`` to the half-saturation, which tends to the published law
``R = 1859 (S - 0.07)/(S + 1.93)`` mg N/m2/d (zhu_chen1999) where the film is full.
"""

from __future__ import annotations

from typing import NamedTuple

from watervane.process.arrays import Array, apart, at_least, at_most, between, jnp, namespace
from watervane.process.rates.conditions import Conditions, Forcing, Geometry, Parameters
from watervane.process.state import COLUMN, MATRIX
from watervane.reference import value

HABITATS = ("bed", "filter", "surface")
GUILDS = ("ammonia", "nitrite")
YIELD_MG_O2_PER_MG_N = {"ammonia": 0.16, "nitrite": 0.05}
LITRES_PER_M3 = 1000.0
HOT_LIMIT_C = 32.0
CHLORAMINE_KILL_RATIO = value("chloramine_kill_ratio").value  # of that by free chlorine


@apart()
def ph_factor(ph: Array) -> Array:
    """Share of the growth rate left at a pH; 1 at 7.2 (UCT model, form from memory). [-]"""
    xp = namespace(ph)
    acid = xp.exp(0.8544153 * (at_most(ph, 7.2) - 7.2))  # 2.35 ** (pH - 7.2)
    base = 1.13 * (9.5 - at_most(ph, 9.5)) / (9.8 - at_most(ph, 9.5))
    return xp.where(ph < 7.2, acid, base) * between(2.0 * (ph - 4.5), 0.0, 1.0)


def temperature_factor(log_theta: Array, temperature_c: Array) -> Array:
    """Growth against 20 degC: a power law up to 32 degC, gone towards 40 degC. [-]"""
    xp = namespace(log_theta, temperature_c)
    warm = xp.exp(log_theta * (at_most(temperature_c, HOT_LIMIT_C) - 20.0))
    return warm * between((41.0 - temperature_c) * (1.0 / 6.0), 0.0, 1.0)


class ColonySite(NamedTuple):
    """What a guild meets in its habitats, whatever the weather; by habitat.

    Parameters
    ----------
    film_mg_n_d_per_mg_o2
        Rise of the half-saturation with the growth the film could have.
    crowding_l_per_mg
        Share of a full film that a milligram of colony in a litre makes.
    log_theta
        Natural logarithm of the guild's temperature factor, one for all habitats.
    """

    film_mg_n_d_per_mg_o2: dict[str, Array]
    crowding_l_per_mg: dict[str, Array]
    log_theta: Array


class ColonyPace(NamedTuple):
    """What temperature makes of a guild's growth and loss. [1/d]"""

    fastest_per_d: Array
    decay_per_d: Array
    heat_loss_per_d: Array


def colony_site(guild: str, theta: Parameters, geometry: Geometry) -> ColonySite:
    """Films of one guild in all habitats."""
    film, crowding = {}, {}
    for habitat in HABITATS:
        area = geometry[f"{habitat}_area_m2"] * theta[f"{habitat}_area_multiplier"] + 1e-9
        hindrance = 1.0 / (theta["film_transfer_m_per_d"] * area * LITRES_PER_M3)
        if habitat == "filter":
            hindrance = hindrance + 1.0 / geometry["filter_flow_l_per_d"]
        film[habitat] = hindrance * geometry["volume_l"] / YIELD_MG_O2_PER_MG_N[guild]
        full = area * theta[f"{guild}_oxidiser_density_mg_per_m2"]
        crowding[habitat] = geometry["volume_l"] / full
    return ColonySite(film, crowding, jnp.log(theta[f"{guild}_oxidiser_theta"]))


@apart("guild")
def colony_pace(
    guild: str, theta: Parameters, site: ColonySite, temperature_c: Array
) -> ColonyPace:
    """Growth and loss of one guild at a temperature."""
    warm = jnp.exp(0.0953 * (at_most(temperature_c, 35.0) - 20.0) * 0.5)
    return ColonyPace(
        theta[f"{guild}_oxidiser_growth_per_d"] * temperature_factor(site.log_theta, temperature_c),
        theta[f"{guild}_oxidiser_decay_per_d"] * warm,
        at_least(temperature_c - 36.0, 0.0) * 0.5,
    )


@apart("guild")
def environment_factor(guild: str, at: Conditions, theta: Parameters, ph_share: Array) -> Array:
    """Everything but nitrogen that slows growth. [-]

    Monod terms of oxygen and alkalinity, one over one plus the inhibitors over their
    constants, multiplied up before a single division, and `ph_factor`.
    """
    oxygen = at.concentration["oxygen"]
    alkalinity = at_least(at.concentration["alkalinity"], 0.0)
    ammonia_limit = theta[f"{guild}_oxidiser_inhibition_free_ammonia"]
    acid_limit = theta[f"{guild}_oxidiser_inhibition_nitrous_acid"]
    above = oxygen * alkalinity * (ammonia_limit * acid_limit)
    below = (
        (theta[f"{guild}_oxidiser_half_saturation_oxygen"] + oxygen)
        * (theta["half_saturation_alkalinity"] + alkalinity)
        * (ammonia_limit + at.free_ammonia_mg_n_per_l)
        * (acid_limit + at.nitrous_acid_mg_n_per_l)
    )
    return above / below * ph_share


@apart("guild")
def colony_rates(
    guild: str,
    at: Conditions,
    theta: Parameters,
    site: ColonySite,
    pace: ColonyPace,
    environment: Array,
    forcing: Forcing,
) -> tuple[dict[str, Array], dict[str, Array]]:
    """Rates and slopes of one guild in all habitats.

    Parameters
    ----------
    guild
        ``ammonia`` or ``nitrite`` oxidisers.
    at, theta, forcing
        The water, the parameters, the row.
    site, pace
        See `colony_site`, `colony_pace`.
    environment
        See `environment_factor`.

    Returns
    -------
    rates, slopes
        ``growth_of_..`` and ``loss_of_..`` [mg O2/L/d]; slopes of growth by the guild's
        nitrogen, of loss by the colony.
    """
    nitrogen = at.concentration[guild]
    awake = at.ammonia_wakefulness if guild == "ammonia" else at.nitrite_wakefulness
    half = theta[f"{guild}_oxidiser_half_saturation"]
    growing = pace.fastest_per_d * environment * awake
    # Awake cells decay in full, sleeping ones at a fifth.
    fading = pace.decay_per_d * (0.2 + 0.8 * awake) + pace.heat_loss_per_d
    fading = fading + _poison_per_d(at, theta)
    rates: dict[str, Array] = {}
    slopes: dict[str, Array] = {}
    for habitat in HABITATS:
        colony = at.amount[f"{guild}_oxidisers_{habitat}"]
        growth, loss = (f"{what}_of_{guild}_oxidisers_{habitat}" for what in ("growth", "loss"))
        fastest, leaving = growing * colony, fading
        if habitat == "filter":
            running = forcing["filter_running"]
            fastest = fastest * running
            leaving = leaving + forcing["filter_stale"] * theta["filter_standstill_loss_per_d"]
        hindered = half + site.film_mg_n_d_per_mg_o2[habitat] * fastest
        share = 1.0 / (hindered + nitrogen)
        rates[growth] = fastest * nitrogen * share
        slopes[growth] = fastest * hindered * (share * share) * at.per_volume
        fullness = colony * site.crowding_l_per_mg[habitat]
        crowding = pace.fastest_per_d * fullness * fullness
        rates[loss] = colony * (leaving + crowding)
        slopes[loss] = leaving + 3.0 * crowding
    return rates, slopes


NITRITE_MADE = MATRIX.coefficients[
    MATRIX.process(f"growth_of_ammonia_oxidisers_{HABITATS[0]}"), COLUMN["nitrite"]
]  # mg N of nitrite per mg O2 of colony


@apart()
def second_step(theta: Parameters, growth: list[Array], slopes: list[Array]) -> tuple[Array, Array]:
    """Nitrite that complete oxidisers among the ammonia oxidisers take on to nitrate.

    Parameters
    ----------
    theta
        For the share of them.
    growth, slopes
        Of the ammonia oxidisers, by habitat. [mg O2/L/d]

    Returns
    -------
    rate, slope
        [mg N/L/d]; the slope is by ammonia, as that of growth.
    """
    share = NITRITE_MADE * theta["complete_oxidation_share"]
    return share * sum(growth), share * sum(slopes)


def _poison_per_d(at: Conditions, theta: Parameters) -> Array:
    """Kill by free chlorine, and by chloramine at its share of that. [1/d]"""
    weaker = CHLORAMINE_KILL_RATIO * at.concentration["chloramine"]
    residual = at.concentration["chlorine"] + weaker
    return theta["chlorine_kill_l_per_mg_d"] * residual


def wake_target(
    guild: str, at: Conditions, theta: Parameters, pace: ColonyPace, environment: Array
) -> Array:
    """Share of a guild that its food keeps awake. [-]

    Near 1 while food allows growth well above upkeep, 0 without any: growth over growth
    plus a tenth of the decay at 20 degC.
    """
    nitrogen = at.concentration[guild]
    fed = pace.fastest_per_d * environment * nitrogen
    half = theta[f"{guild}_oxidiser_half_saturation"]
    upkeep = 0.1 * theta[f"{guild}_oxidiser_decay_per_d"] * (nitrogen + half)
    return fed / (fed + upkeep)
