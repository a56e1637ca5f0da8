"""What a floor bears: bending and shear under the tank against those it was made for.

A design load spread over a whole room says nothing of one heavy thing: any tank presses harder on
its own footprint. What counts is how far the strip of floor that carries it is bent, and that
depends on the span, on which way the tank lies and on how near the carrying wall it stands. The
rest of the strip keeps bearing its lasting share of the room's own load.
"""

from __future__ import annotations

from watervane.planning.blueprint.shapes import Vessel, footprint_m2, longest_cm
from watervane.records import FloorPlan, FloorShare, RoomFloor
from watervane.reference import sourced

GRAVITY_M_PER_S2 = 9.81
ASSUMED_SPAN_CM = {"timber": 400.0, "concrete": 500.0, "unknown": 400.0}
ASSUMED_JOISTS_CM = 40.0
LASTING_SHARE = 0.3  # of the imposed load of a dwelling: en1991_floors
ENGINEER_KG = 300.0  # house estimate: from here on an engineer is asked whatever the sums say
ENGINEER_SHARE = 0.7  # of what the floor was made for


@sourced("engineering_handbook", where="simply supported beam, part of it loaded evenly")
def strip_bending(
    span_m: float, begin_m: float, loaded_m: float, load: float, elsewhere: float
) -> tuple[float, float]:
    """Largest moment and largest shear of a strip of floor that bears a tank.

    Parameters
    ----------
    span_m
        Between supports. [m]
    begin_m, loaded_m
        From one support to the tank, and the tank's extent along the strip. [m]
    load
        Under the tank, kN per metre of strip.
    elsewhere
        On the rest of it, kN per metre of strip.

    Returns
    -------
    moment, shear
        In kNm and kN.
    """
    more = load - elsewhere
    centre = begin_m + 0.5 * loaded_m
    near = more * loaded_m * (span_m - centre) / span_m + 0.5 * elsewhere * span_m
    far = more * loaded_m + elsewhere * span_m - near
    places = {begin_m, begin_m + loaded_m}
    if elsewhere > 0.0:
        places |= {near / elsewhere, span_m - far / elsewhere}
    if load > 0.0:
        places.add(begin_m + (near - elsewhere * begin_m) / load)

    def moment(at: float) -> float:
        over = min(max(at - begin_m, 0.0), loaded_m)
        return near * at - 0.5 * elsewhere * at**2 - more * over * (at - begin_m - 0.5 * over)

    return max(moment(at) for at in places if 0.0 <= at <= span_m), max(near, far)


@sourced("bs8110_slabs", where="a slab carries a load on its width and 1.2 x (1 - x/l) either side")
def slab_width_m(width_m: float, from_support_m: float, span_m: float) -> float:
    """Width of a one-way slab that carries a load.

    Parameters
    ----------
    width_m
        Of the load, across the span. [m]
    from_support_m
        From the nearer support to its middle. [m]
    span_m
        [m]

    Returns
    -------
    float
        [m]
    """
    return width_m + 2.4 * from_support_m * (1.0 - from_support_m / span_m)


def joist_width_m(width_m: float, joists_m: float) -> float:
    """Width of a joisted floor that carries a load: its own, and half a gap to either side.

    Parameters
    ----------
    width_m
        Of the load, across the joists. [m]
    joists_m
        From joist to joist. [m]

    Returns
    -------
    float
        [m]
    """
    return max(width_m, joists_m) + joists_m


@sourced("en1991_floors", where="imposed load of dwellings; lasting share 0.3")
def floor_share(
    floor: RoomFloor, load_kn: float, sizes_m: tuple[float, float], placing: str
) -> FloorShare:
    """Share of what the floor was made for that one placing takes.

    Parameters
    ----------
    floor
        With kind and span.
    load_kn
        Weight of it all.
    sizes_m
        Of the footprint: length, width. [m]
    placing
        ``across-...`` with the length over many joists, ``along-...`` in line with them.
    """
    span = 0.01 * (floor.span_cm or ASSUMED_SPAN_CM.get(floor.kind, 400.0))
    length, width = sizes_m
    broad, loaded = (length, width) if placing.startswith("across") else (width, length)
    loaded = min(loaded, span)
    at_wall = placing.endswith("wall")
    begin = min(0.01 * floor.wall_gap_cm, span - loaded) if at_wall else 0.5 * (span - loaded)
    if floor.kind == "concrete":
        nearer = min(begin + 0.5 * loaded, span - begin - 0.5 * loaded)
        strip = slab_width_m(broad, nearer, span)
    else:
        strip = joist_width_m(broad, 0.01 * (floor.joists_cm or ASSUMED_JOISTS_CM))
    elsewhere = LASTING_SHARE * floor.design_kpa * strip
    moment, shear = strip_bending(span, begin, loaded, load_kn / loaded, elsewhere)
    made_for = floor.design_kpa * strip
    return FloorShare(
        placing,
        moment / (made_for * span**2 / 8.0),
        shear / (0.5 * made_for * span),
        100.0 * strip,
    )


def floor_plan(floor: RoomFloor, vessel: Vessel, total_kg: float) -> FloorPlan:
    """Judge the floor under a tank, every way it could be placed."""
    load_kn = 1e-3 * GRAVITY_M_PER_S2 * total_kg
    length, width = longest_cm(vessel.outer)
    placings = [
        f"{lie}-{where}" for where in ("at-wall", "in-the-middle") for lie in ("across", "along")
    ]
    sizes = (0.01 * length, 0.01 * width)
    shares = (
        ()
        if floor.kind == "ground"
        else tuple(floor_share(floor, load_kn, sizes, placing) for placing in placings)
    )
    asked = None
    if floor.tank_across is not None and shares:
        asked = f"{'across' if floor.tank_across else 'along'}-at-wall"
    judged = [s for s in shares if s.placing == asked] if asked else list(shares[:2])
    worst = max((max(s.bending_share, s.shear_share) for s in judged), default=0.0)
    return FloorPlan(
        total_kg=total_kg,
        pressure_kpa=load_kn / footprint_m2(vessel),
        design_kpa=floor.design_kpa,
        span_cm=floor.span_cm or ASSUMED_SPAN_CM.get(floor.kind, 400.0),
        span_assumed=floor.span_cm is None,
        asked=asked,
        shares=shares,
        engineer=bool(shares) and (total_kg > ENGINEER_KG or worst > ENGINEER_SHARE),
    )
