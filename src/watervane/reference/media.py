"""Surface that filter media and beds offer to bacteria."""

from __future__ import annotations

from watervane.reference._sourced import sourced
from watervane.reference.names import UnknownNameError, plain_name, singular
from watervane.reference.tables import Row, load_table

_GRAINS = ("sand", "gravel")


@sourced(
    "exact-arithmetic", where="6 (1 - porosity) / diameter, spheres", valid={"porosity": (0, 1)}
)
def grain_surface_m2_per_m3(grain_mm: float, porosity: float = 0.4) -> float:
    """Outer surface of packed spheres per bed volume [m2/m3].

    Parameters
    ----------
    grain_mm : float
        Diameter of the grains. [mm]
    porosity : float
        Share of the bed that is water. [1]
    """
    if not 0.01 <= grain_mm <= 200.0 or not 0.0 < porosity < 1.0:
        raise ValueError(f"grains of {grain_mm:g} mm at porosity {porosity:g} make no bed")
    return 6.0 * (1.0 - porosity) / (grain_mm / 1000.0)


def media_surface_m2_per_m3(kind: str, grain_mm: float | None = None) -> float:
    """Surface of a filter medium per volume of medium [m2/m3].

    Parameters
    ----------
    kind : str
        A medium of the table, such as ``"sponge"`` or ``"foam 30 ppi"``.
    grain_mm : float, optional
        Grain of sand or gravel; without it the usual grain is taken. [mm]

    Raises
    ------
    UnknownNameError
        With the media that are known.
    """
    row = media_surface(kind)
    if grain_mm is not None and row.extra["kind"] in _GRAINS:
        return grain_surface_m2_per_m3(grain_mm)
    return row.value


def media_surface(kind: str) -> Row:
    """The row of a medium's surface, with its range and source."""
    rows = {r.extra["kind"]: r for r in load_table("media") if r.quantity == "specific surface"}
    wanted = plain_name(kind)
    found = rows.get(wanted) or rows.get(singular(wanted))
    if found is None:
        raise UnknownNameError("medium", kind, rows)
    return found


def bed_row(material: str, quantity: str) -> Row:
    """The ``grain`` [mm] or ``porosity`` [1] of a bed material.

    Raises
    ------
    UnknownNameError
        With the materials that are known.
    """
    rows = {r.extra["kind"]: r for r in load_table("media") if r.quantity == quantity}
    found = rows.get(plain_name(material))
    if found is None:
        raise UnknownNameError(f"bed material with a {quantity}", material, rows)
    return found
