"""Whether panes are plausibly thick enough: stress and deflection by the theory of thin plates.

A plausibility check, no certificate: seams, flaws, an uneven stand and a knock decide as well.
"""

from __future__ import annotations

import math
from dataclasses import replace

from watervane.planning.blueprint.outline import radius_cm
from watervane.planning.blueprint.plates import bending, stiffness_n_m
from watervane.planning.blueprint.shapes import Vessel, chord_cm, longest_cm
from watervane.records import GlassBox, Pane
from watervane.reference import sourced

GRAVITY_M_PER_S2 = 9.81
WATER_KG_PER_M3 = 1000.0
GLASS_STRENGTH_MPA = 45.0  # characteristic, annealed float: en16612
CUSTOM_MPA = 5.0  # builders' custom: common practice, no source
TRADE_MM = (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 19.0, 25.0)
LONGEST_FREE_ASPECT = 2.5  # longer rimless panes are strained most at their lower corners


@sourced("en16612", where="k_mod f_gk / gamma, permanent load: 0.29 x 45 / 1.8")
def design_stress_mpa(lasting: float = 0.29, material_factor: float = 1.8) -> float:
    """Stress that the standard lets annealed float bear for good, in megapascals."""
    return lasting * GLASS_STRENGTH_MPA / material_factor


def foot_pressure_pa(depth_cm: float) -> float:
    """Pressure of water under so much of it, in pascals."""
    return WATER_KG_PER_M3 * GRAVITY_M_PER_S2 * 0.01 * depth_cm


def upright_pane(
    part: str, length_cm: float, height_cm: float, thickness_mm: float, *, top_held: bool
) -> Pane:
    """A flat pane under water up to its top edge.

    Parameters
    ----------
    part
        Its name.
    length_cm, height_cm
        Between the panes that hold it. [cm]
    thickness_mm
        [mm]
    top_held
        Whether its top edge is held by a brace.
    """
    height = 0.01 * height_cm
    shape = bending(length_cm / height_cm, top_held=top_held)
    pressure = foot_pressure_pa(height_cm)
    moment = shape.moment * pressure * height**2
    bent = 1e3 * shape.deflection * pressure * height**4 / stiffness_n_m(thickness_mm)
    return _pane(part, "plate", (length_cm, height_cm, thickness_mm), moment, bent, top_held)


def bottom_pane(vessel: Vessel) -> Pane:
    """The bottom pane on a frame that holds its edges alone; other outlines by their rectangle."""
    length, width = sorted(longest_cm(vessel.inner), reverse=True)
    shape = bending(length / width, top_held=True, load="even")
    pressure, short = foot_pressure_pa(vessel.inner_height_cm), 0.01 * width
    moment = shape.moment * pressure * short**2
    bent = 1e3 * shape.deflection * pressure * short**4 / stiffness_n_m(vessel.bottom_mm)
    return _pane("bottom", "plate", (length, width, vessel.bottom_mm), moment, bent, top_held=True)


def panes_of(box: GlassBox, vessel: Vessel) -> tuple[Pane, ...]:
    """Every different pane of a tank, the most strained first; the bottom only on a frame."""
    found: list[Pane] = []
    chords = list(vessel.inner.chords())
    if box.kind == "cylinder":
        found.append(_ring(radius_cm(*chords[0]), vessel))
    else:
        lengths = [chord_cm(chord) for chord in chords]
        longest, alike = max(lengths), min(lengths) > 0.999 * max(lengths)
        for chord in sorted(chords, key=chord_cm, reverse=True):
            length = chord_cm(chord)
            part = "side" if alike else "long" if length > 0.999 * longest else "short"
            pane = upright_pane(
                part, length, vessel.inner_height_cm, vessel.glass_mm, top_held=box.braced
            )
            if chord[2] != 0.0:
                pane = _renamed(pane)
            found.append(pane)
    if not box.full_support:
        found.append(bottom_pane(vessel))
    unlike: dict[tuple[object, ...], Pane] = {}
    for pane in found:
        key = (pane.part, pane.way, round(pane.length_cm, 3), round(pane.height_cm, 3))
        unlike.setdefault(key, pane)
    return tuple(sorted(unlike.values(), key=lambda pane: -pane.stress_mpa))


def next_trade_mm(thickness_mm: float) -> float | None:
    """The next thickness glass is sold in; none beyond the thickest. [mm]"""
    return next((size for size in TRADE_MM if size >= thickness_mm - 1e-9), None)


def glass_to_buy_mm(panes: tuple[Pane, ...]) -> float | None:
    """The thickness to ask for: what is planned where it holds, else one sold that custom takes.

    Parameters
    ----------
    panes
        The most strained first.
    """
    worst = panes[0]
    if worst.stress_mpa <= design_stress_mpa():
        return worst.thickness_mm
    return next_trade_mm(worst.custom_mm)


def _renamed(pane: Pane) -> Pane:
    """A bowed pane, worked out as if flat: its bow would help only if its ends could not give."""
    return replace(pane, part="bowed", way="curved")


@sourced("engineering_handbook", where="hoop stress of a thin ring, p r / t")
def ring_stress_mpa(pressure_pa: float, radius_cm: float, thickness_mm: float) -> float:
    """Tension round a closed ring of glass under pressure, in megapascals."""
    return 1e-6 * pressure_pa * (0.01 * radius_cm) / (1e-3 * thickness_mm)


def _ring(radius: float, vessel: Vessel) -> Pane:
    pressure = foot_pressure_pa(vessel.inner_height_cm)
    stress = ring_stress_mpa(pressure, radius, vessel.glass_mm)
    return Pane(
        part="wall",
        way="ring",
        length_cm=2.0 * math.pi * radius,
        height_cm=vessel.inner_height_cm,
        thickness_mm=vessel.glass_mm,
        top_held=False,
        stress_mpa=stress,
        deflection_mm=0.0,
        strength_factor=GLASS_STRENGTH_MPA / stress,
        standard_mm=vessel.glass_mm * stress / design_stress_mpa(),
        custom_mm=vessel.glass_mm * stress / CUSTOM_MPA,
        thin_plate=True,
    )


def _pane(
    part: str,
    way: str,
    sizes: tuple[float, float, float],
    moment_n: float,
    bent_mm: float,
    top_held: bool,  # noqa: FBT001
) -> Pane:
    """From the moment a width of pane bears [N m/m] to stress and thicknesses."""
    length, height, thickness = sizes
    stress = 1e-6 * 6.0 * moment_n / (1e-3 * thickness) ** 2
    return Pane(
        part=part,
        way=way,
        length_cm=length,
        height_cm=height,
        thickness_mm=thickness,
        top_held=top_held,
        stress_mpa=stress,
        deflection_mm=bent_mm,
        strength_factor=GLASS_STRENGTH_MPA / stress,
        standard_mm=thickness * math.sqrt(stress / design_stress_mpa()),
        custom_mm=thickness * math.sqrt(stress / CUSTOM_MPA),
        thin_plate=bent_mm <= 0.5 * thickness,
    )
