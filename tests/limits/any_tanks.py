"""Animals and waters that tests of limits share."""

from __future__ import annotations

from hypothesis import strategies as st

from watervane.limits import Water
from watervane.reference import animal_values

KNOWN = tuple(dict.fromkeys(row.name for row in animal_values()))
STRANGER = "a fish nobody has heard of"
animals = st.lists(st.sampled_from((*KNOWN, STRANGER)), min_size=1, max_size=5, unique=True)


@st.composite
def waters(draw: st.DrawFn) -> Water:
    """Any water of a fresh tank, good or bad, as plain numbers."""

    def between(low: float, high: float) -> float:
        return draw(st.floats(low, high, allow_nan=False))

    return Water(
        ph=between(4.0, 10.0),
        temperature_c=between(5.0, 35.0),
        chloride_mg_per_l=between(0.0, 400.0),
        ammonia_mg_n_per_l=between(0.0, 30.0),
        nitrite_mg_n_per_l=between(0.0, 30.0),
        nitrate_mg_n_per_l=between(0.0, 200.0),
        co2_mg_per_l=between(0.0, 100.0),
        oxygen_mg_per_l=between(0.0, 14.0),
        chlorine_mg_per_l=between(0.0, 2.0),
        alkalinity_meq_per_l=between(0.0, 6.0),
        gh_dgh=between(0.0, 40.0),
        temperature_change_k=between(0.0, 12.0),
        ph_change=between(0.0, 3.0),
        salinity_g_per_kg=between(0.0, 3.0),
        pressure_atm=between(0.7, 1.05),
    )
