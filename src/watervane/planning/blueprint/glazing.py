"""How thick the glass of a tank is: as told, else the thinnest sold that holds."""

from __future__ import annotations

from watervane.planning.blueprint.panes import CUSTOM_MPA, TRADE_MM, panes_of
from watervane.planning.blueprint.shapes import USUAL_GLASS_MM, CannotPlan, Vessel, vessel_of
from watervane.records import GlassBox


def glazed(box: GlassBox) -> Vessel:
    """Inside and outside of a tank, of glass as told.

    Where nobody told, every pane bears no more than builders' custom and bends like a thin plate;
    where the thickest glass sold does not, that is taken, and its panes tell so.

    Parameters
    ----------
    box
        As wished for.

    Raises
    ------
    CannotPlan
        With every size that is missing or contradicts another.
    """
    found = vessel_of(box)
    if box.glass_mm is not None:
        return found
    for thick in (each for each in TRADE_MM if each >= USUAL_GLASS_MM):
        try:
            found = vessel_of(box, thick)
        except CannotPlan:
            break  # thicker panes leave no room; the last that did stays
        panes = panes_of(box, found)
        if panes[0].stress_mpa <= CUSTOM_MPA and all(each.thin_plate for each in panes):
            break
    return found
