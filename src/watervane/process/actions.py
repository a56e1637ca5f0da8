"""What a row of the day program does at its start, before time runs on."""

from __future__ import annotations

from collections.abc import Mapping

from watervane.process.arrays import Array, apart, at_least, at_most, between, jax, jnp
from watervane.process.rates.conditions import Parameters
from watervane.process.rates.nitrifiers import GUILDS, HABITATS
from watervane.process.state import COLUMN, COMPONENTS, MATRIX, WATER, TankState

LOGIT_PER_NORMAL = 1.702  # the normal distribution by the logistic one, within 0.01
Row = Mapping[str, Array]
Noise = Mapping[str, Array]


def act(state: TankState, row: Row, theta: Parameters, source: Array, noise: Noise) -> TankState:
    """Apply a row's actions: take out, pour in, feed, dose, seed, clean, neutralise.

    Parameters
    ----------
    state
        Before the actions.
    row
        One row of a day program, arrays of shape ([components or habitats,] tanks, 1).
    theta
        Parameters, (tanks, members) each.
    source
        The keeper's source water per litre, shape (components, tanks, members).
    noise
        ``food`` and ``change``, factors of the day's meals and of the water really changed,
        ``death``, 1 in a week in which an animal dies unseen, and ``luck``, uniform in (0, 1);
        (tanks, members).
    """
    acted: TankState = jax.lax.cond(
        jnp.any(row["acts"] > 0.0),
        lambda: _acted(state, row, theta, source, noise),
        lambda: TankState(*(jnp.asarray(a) for a in state)),
    )
    return acted


@apart()
def _acted(state: TankState, row: Row, theta: Parameters, source: Array, noise: Noise) -> TankState:
    thinned = _really_kept(row, noise)
    pieces = [
        amount * row["keep"][i] * thinned if COMPONENTS[i] in WATER else amount * row["keep"][i]
        for i, amount in enumerate(state.amounts)
    ]
    stay = state.volume_ratio * row["volume_keep"] * thinned
    poured = row["volume_add"] + row["fill_to_mark"] * at_least(1.0 - stay, 0.0)
    brought = poured * (1.0 - row["pure"])
    dosed = jnp.exp(row["dose_log_spread"] * theta["dose_deviation"])
    pieces = [
        piece + source[i] * brought + row["water_differs"][i] * poured + row["add"][i] * dosed
        for i, piece in enumerate(pieces)
    ]
    spent = row["conditioned"] * sum(
        brought * source[COLUMN[c]] + poured * row["water_differs"][COLUMN[c]]
        for c in ("chlorine", "chloramine")
    )
    pieces[COLUMN["dechlorinator"]] = pieces[COLUMN["dechlorinator"]] + at_least(spent, 0.0)
    volume = stay + poured
    heat = stay * state.temperature_c + poured * row["poured_temperature_c"]
    _bring_animals(pieces, row, theta, noise)
    _plant(pieces, row, theta)
    _feed(pieces, row, theta, noise)
    _raise_ammonia(pieces, row, volume, dosed)
    _colonies(pieces, row, theta, noise)
    _neutralise(pieces)
    return state._replace(
        amounts=jnp.stack(pieces), volume_ratio=volume, temperature_c=heat / volume
    )


def _really_kept(row: Row, noise: Noise) -> Array:
    """Water left by a change of unsure size over what the told size leaves."""
    told = 1.0 - row["volume_keep"]
    most = 0.5 * (1.0 + told)  # never more than half way from the told share to all of it
    return (1.0 - at_most(told * noise["change"], most)) / at_least(row["volume_keep"], 1e-9)


def _bring_animals(pieces: list[Array], row: Row, theta: Parameters, noise: Noise) -> None:
    """Animals come with a body mass known to a factor; some die, seen or not: carrion."""
    size = theta["animal_mass_multiplier"]
    for body in ("animal_nitrogen", "animal_matter"):
        column = COLUMN[body]
        pieces[column] = pieces[column] + (size - 1.0) * row["add"][column]
    for body, remains in (
        ("animal_nitrogen", "carrion_nitrogen"),
        ("animal_matter", "organic_matter"),
    ):
        dead = row["died_share"] * pieces[COLUMN[body]]
        unseen = row["unseen_share"] * noise["death"] * (pieces[COLUMN[body]] - dead)
        pieces[COLUMN[body]] = pieces[COLUMN[body]] - dead - unseen
        pieces[COLUMN[remains]] = pieces[COLUMN[remains]] + dead * row["died_stays"] + unseen


def _plant(pieces: list[Array], row: Row, theta: Parameters) -> None:
    """Plants come in the size that grows as well as they will."""
    column = COLUMN["plant_nitrogen"]
    pieces[column] = pieces[column] + row["planted_mg_n_per_l"] * theta["plant_multiplier"]


def _feed(pieces: list[Array], row: Row, theta: Parameters, noise: Noise) -> None:
    """Food is eaten as far as there are mouths; the rest lies on the bed."""
    nitrogen = (
        row["food_mg_n_per_l"]
        * jnp.exp(row["food_log_spread"] * theta["pinch_deviation"])
        * theta["food_multiplier"]
        * noise["food"]
    )
    eaten = row["mouths"] * theta["eaten_share"] * nitrogen
    left = nitrogen - eaten
    matter = row["food_mg_o2_per_mg_n"]
    for column, amount in (
        ("gut_nitrogen", eaten),
        ("gut_matter", eaten * matter),
        ("food_nitrogen", left),
        ("organic_matter", left * matter),
    ):
        pieces[COLUMN[column]] = pieces[COLUMN[column]] + amount


def _raise_ammonia(pieces: list[Array], row: Row, volume: Array, dosed: Array) -> None:
    """Dose up to a level: only what is missing goes in."""
    missing = at_least(
        row["ammonia_target_mg_n_per_l"] * dosed * volume - pieces[COLUMN["ammonia"]], 0.0
    )
    pieces[COLUMN["ammonia"]] = pieces[COLUMN["ammonia"]] + missing
    for column, per_n in (
        ("alkalinity", "target_alkalinity_meq_per_mg_n"),
        ("chloride", "target_chloride_mmol_per_mg_n"),
    ):
        pieces[COLUMN[column]] = pieces[COLUMN[column]] + missing * row[per_n]


def _colonies(pieces: list[Array], row: Row, theta: Parameters, noise: Noise) -> None:
    """Cleaning keeps a share of each colony, seeding brings a piece of another tank's."""
    luck = between(noise["luck"], 1e-9, 1.0 - 1e-9)
    normal = jnp.log(luck / (1.0 - luck)) / LOGIT_PER_NORMAL
    alive = jnp.exp(jnp.where(normal < 0.0, row["seed_log_down"], row["seed_log_up"]) * normal)
    for i, habitat in enumerate(HABITATS):
        low, high = row["colony_keep_low"][i], row["colony_keep_high"][i]
        kept = low + (high - low) * noise["luck"]
        seed_kept = (
            row["seed_keep_low"] + (row["seed_keep_high"] - row["seed_keep_low"]) * (noise["luck"])
        ) * alive
        for guild in GUILDS:
            column = COLUMN[f"{guild}_oxidisers_{habitat}"]
            brought = (
                row["seed_area_per_l"][i] * seed_kept * theta[f"seed_{guild}_density_mg_per_m2"]
            )
            pieces[column] = pieces[column] * kept + brought


def _neutralise(pieces: list[Array]) -> None:
    """A conditioner takes free chlorine first, then chloramine, as fast as it is stirred in."""
    for poison in ("chlorine", "chloramine"):
        row = MATRIX.coefficients[MATRIX.process(f"neutralisation_of_{poison}")]
        extent = at_most(pieces[COLUMN[poison]], pieces[COLUMN["dechlorinator"]])
        extent = at_least(extent, 0.0)
        for column, weight in enumerate(row):
            if weight:
                pieces[column] = pieces[column] + weight * extent
