"""Invented tanks for property tests: every field, told or not."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from watervane import records as r
from watervane.exchange.event_vocabulary import EVENT_KINDS
from watervane.exchange.moments import local_moment
from watervane.exchange.problems import Refusal
from watervane.units import parse_reading

ZONES = ("UTC", "Europe/Lisbon", "America/St_Johns", "Asia/Kathmandu", "Australia/Lord_Howe")
FILLED = date(2026, 3, 1)
SPECIES = ("Danio rerio", "shrimp", "goldfish", "Corydoras")
WATER_FIELDS = ("ph", "kh_dkh", "gh_dgh", "nitrate_mg_n_per_l", "chlorine_mg_per_l")

positive = st.floats(0.001, 500.0)
shares = st.floats(0.001, 1.0)
texts = st.text(st.characters(min_codepoint=32, max_codepoint=0x2FFF), max_size=30).filter(
    lambda text: text.isprintable()
)
spans = st.tuples(positive, positive).map(lambda pair: r.Span(min(pair), max(pair)))


def maybe(strategy: st.SearchStrategy) -> st.SearchStrategy:
    return st.none() | strategy


@st.composite
def moments(draw: st.DrawFn, zone: ZoneInfo) -> tuple[datetime, bool]:
    day = FILLED + timedelta(days=draw(st.integers(0, 400)))
    if draw(st.booleans()):
        return datetime.combine(day, time(12), zone), False
    clock = draw(st.times().map(lambda t: t.replace(microsecond=0)))
    try:
        return local_moment(datetime.combine(day, clock), zone, hour_known=True).at, True
    except Refusal:
        return datetime.combine(day, time(12), zone), False


@st.composite
def happenings(draw: st.DrawFn, zone: ZoneInfo) -> r.Event:
    at, known = draw(moments(zone))
    shared = {"at": at, "hour_known": known, "note": draw(texts)}
    record = draw(st.sampled_from([kind.record for kind in EVENT_KINDS.values()]))
    return record(**shared, **draw(own_fields(record)))


def own_fields(record: type) -> st.SearchStrategy[dict]:
    animals = {"species": st.sampled_from(SPECIES), "count": st.integers(1, 50)}
    fields: dict[type, dict[str, st.SearchStrategy]] = {
        r.Feed: {"mass_g": spans, "protein": shares},
        r.AnimalsIn: {**animals, "length_cm": maybe(positive)},
        r.AnimalsOut: animals,
        r.Died: {**animals, "removed": st.booleans()},
        r.WaterChange: {
            "fraction": shares,
            "conditioner": st.booleans(),
            "water": st.dictionaries(st.sampled_from(WATER_FIELDS), st.floats(0, 12), max_size=3),
            "temperature_c": maybe(st.floats(5, 35)),
        },
        r.TopOff: {"volume_l": maybe(positive), "pure": st.booleans()},
        r.Seed: {
            "source": st.sampled_from(("media", "bed", "bottle")),
            "kind": st.sampled_from(("sponge", "ceramic")),
            "volume_l": maybe(positive),
            "condition": st.sampled_from(("fresh", "rinsed under tap", "dried")),
            "hours_out_of_water": st.floats(0, 48),
        },
        r.MediaMoved: {"fraction": shares},
        r.Clean: {"part": st.sampled_from(("filter", "bed")), "how": st.just("tap water")},
        r.Outage: {"hours": positive, "what": st.sampled_from(("all", "heater"))},
        r.Treatment: {
            "substance": st.just("salt"),
            "colony_kill": maybe(shares.map(lambda s: r.Span(s / 2, s))),
        },
        r.EquipmentChange: {
            "changes": st.dictionaries(
                st.sampled_from(("heater_set_point_c", "light_hours")),
                st.floats(0, 24),
                min_size=1,
            )
        },
        r.Note: {"text": texts},
    }
    if record is r.Dose:
        return doses()
    return st.fixed_dictionaries(fields[record])


@st.composite
def doses(draw: st.DrawFn) -> dict[str, object]:
    told: dict[str, object] = {
        "substance": draw(st.sampled_from(("ammonium chloride", "ammonia solution 6 %")))
    }
    how = draw(st.sampled_from(("mass_g", "target_mg_n_per_l", "added_mg_n_per_l", "nothing")))
    if how == "mass_g":
        told[how] = draw(spans)
    elif how != "nothing":
        told[how] = draw(positive)
    factors = st.tuples(st.floats(0.1, 1.0), st.floats(1.0, 10.0)).map(lambda f: r.Span(*f))
    told["amount_factor"] = draw(maybe(factors))
    return told


@st.composite
def habits(draw: st.DrawFn, zone: ZoneInfo) -> r.Habit:
    template = draw(happenings(zone))
    start = template.at.date()
    until = draw(maybe(st.integers(0, 90).map(lambda days: start + timedelta(days=days))))
    every = draw(st.integers(1, 30).map(float))
    return r.Habit(template=template, every_days=every, start=start, until=until)


@st.composite
def readings(draw: st.DrawFn, zone: ZoneInfo, kits: tuple[str, ...]) -> r.Reading:
    at, known = draw(moments(zone))
    quantity = draw(st.sampled_from(("ammonia", "nitrite", "nitrate", "ph", "kh", "temperature")))
    unit = {"ph": "", "kh": "dKH", "temperature": "degC"}.get(quantity)
    if unit is None:
        unit = draw(st.sampled_from(("mg/L", "mg/L as N", "ppm", "ug/L")))
    number = draw(st.floats(0.01, 13.0).map(lambda value: f"{value:.3g}"))
    form = draw(st.sampled_from(("{0}", "~{0}", "> {0}", "< {0}", "0.01..{0}")))
    value = parse_reading(f"{form.format(number)} {unit}".strip(), quantity)
    if draw(st.booleans()):  # as a program would make it, without the keeper's words
        value = r.ReadingValue(value.kind, value.low, value.high, value.basis, "")
    return r.Reading(
        at=at,
        quantity=quantity,
        value=value,
        hour_known=known,
        kit=draw(maybe(st.sampled_from(kits))) if kits else None,
        of_source_water=draw(st.booleans()),
        diluted=draw(st.sampled_from((1.0, 1.0, 2.5, 4.0)))
        if quantity not in ("ph", "temperature")
        else 1.0,
        note=draw(texts),
    )


@st.composite
def words(draw: st.DrawFn, zone: ZoneInfo) -> r.Reading:
    at, known = draw(moments(zone))
    said = draw(st.sampled_from(r.SAID))
    value = r.ReadingValue(said, None, None, "none", said)
    return r.Reading(at=at, quantity=r.WHOLE_WATER, value=value, hour_known=known)


@st.composite
def scales(draw: st.DrawFn) -> r.KitScale:
    quantity = draw(st.sampled_from(("ammonia", "nitrite", "nitrate", "gh")))
    if quantity == "gh":
        basis, factor = "none", 1.0
    else:
        basis = draw(st.sampled_from(("n", "ion", "unknown")))
        unit = {"n": "mg/L as N", "ion": "mg/L as ion", "unknown": "mg/L"}[basis]
        factor = parse_reading(f"1 {unit}", quantity).low or 1.0
    numbers = st.integers(1, 1000).map(lambda count: 0.01 * count * factor)
    told: dict[str, object] = {
        "relative_error": draw(maybe(st.floats(0.01, 1.0))),
        "error_floor": draw(maybe(numbers)),
    }
    if quantity == "ammonia":
        told["reagent"] = draw(st.sampled_from(("", "salicylate", "nessler")))
    if draw(st.booleans()):
        printed = sorted(draw(st.sets(st.integers(0, 1000), min_size=2, max_size=7)))
        steps = tuple(0.1 * step * factor for step in printed)
        return r.KitScale(quantity, steps, basis, **told)
    told |= {"resolution": draw(maybe(numbers)), "range_end": draw(maybe(numbers))}
    return r.KitScale(quantity, (), basis, **told)


@st.composite
def probes(draw: st.DrawFn) -> dict[str, object]:
    days = draw(st.sets(st.integers(0, 400), max_size=3))
    return {
        "response_h": draw(maybe(st.floats(0.001, 20.0))),
        "calibrated": tuple(FILLED + timedelta(days=day) for day in sorted(days)),
    }


@st.composite
def kits(draw: st.DrawFn) -> dict[str, r.Kit]:
    names = draw(st.lists(st.sampled_from(("drop", "my strip", "pH-pen")), unique=True))
    found = {}
    for name in names:
        told = {scale.quantity: scale for scale in draw(st.lists(scales(), max_size=3))}
        told = {quantity: told[quantity] for quantity in r.QUANTITY_UNITS if quantity in told}
        kind = draw(st.sampled_from(("drop", "strip", "photometer", "probe")))
        own = draw(probes()) if kind == "probe" else {}
        found[name] = r.Kit(name, kind, tuple(told.values()), **own)
    return found


@st.composite
def shapes(draw: st.DrawFn) -> r.Shape:
    kind = draw(st.sampled_from(("rectangular", "cylinder")))
    height = draw(st.floats(20, 60))
    return r.Shape(
        kind=kind,
        length_cm=draw(st.floats(20, 150)),
        width_cm=draw(st.floats(20, 60)) if kind == "rectangular" else None,
        height_cm=height,
        water_depth_cm=draw(maybe(st.floats(10, 20))),
        glass_mm=draw(maybe(st.floats(3, 12).map(lambda mm: float(f"{mm:.12g}")))),
        measured=draw(st.sampled_from(("inside", "outside"))),
    )


def limit_edits() -> st.SearchStrategy[tuple[r.LimitEdit, ...]]:
    """Some of the keeper's own limits, of every kind of figure."""
    names = (
        *("nitrite_acute", "free_ammonia_chronic_sensitive", "total_ammonia_acute", "co2_comfort"),
        *("ph_comfort_above_danio_rerio", "alkalinity_comfort", "hardness_comfort_below_boraras"),
        *("temperature_acute_below_poecilia_reticulata", "oxygen_acute"),
    )
    one = st.builds(r.LimitEdit, st.sampled_from(names), st.floats(0.01, 13), texts)
    return st.lists(one, max_size=3, unique_by=lambda edit: edit.limit).map(tuple)


def own_animals() -> st.SearchStrategy[tuple[r.OwnAnimal, ...]]:
    """Rows of the keeper's, of an animal of the catalogue and of a new one."""
    ends = st.tuples(st.floats(1, 9), st.floats(10, 30)).map(lambda two: [f"{e:.4g}" for e in two])
    names = {"gh": ("gh_low_dgh", "gh_high_dgh"), "c": ("temperature_low_c", "temperature_high_c")}

    def row(name: str, *told: dict[str, str]) -> r.OwnAnimal:
        return r.OwnAnimal(name, {column: cell for each in told for column, cell in each.items()})

    ranges = st.sampled_from(("gh", "c")).flatmap(
        lambda which: ends.map(lambda two: dict(zip(names[which], two, strict=True)))
    )
    ours = st.builds(row, st.just("zebrafish"), ranges, st.just({"jumps": "no"}))
    new = st.builds(row, st.just("cellar barb"), st.just({"kind": "fish", "form": "goldfish"}))
    return st.lists(ours | new, max_size=2, unique_by=lambda each: each.name).map(tuple)


@st.composite
def tanks(draw: st.DrawFn) -> r.Tank:
    name = draw(st.sampled_from(ZONES))
    zone = ZoneInfo(name)
    shape = draw(maybe(shapes()))
    told_kits = draw(kits())
    media = st.builds(r.Media, st.sampled_from(("sponge", "ceramic")), positive)
    water = st.fixed_dictionaries({f: maybe(st.floats(0, 13)) for f in WATER_FIELDS})
    return r.Tank(
        name=draw(texts),
        filled=FILLED,
        time_zone=name,
        volume_l=None if shape else draw(maybe(positive)),
        shape=shape,
        bed=draw(maybe(st.builds(r.Bed, st.just("sand"), st.floats(0.5, 9), st.just(1.0)))),
        filter=draw(
            maybe(st.builds(r.Filter, st.lists(media, max_size=3).map(tuple), maybe(positive)))
        ),
        heater_power_w=draw(maybe(positive)),
        heater_set_point_c=draw(maybe(st.floats(15, 32))),
        air_flow_l_per_h=draw(maybe(positive)),
        light_hours=draw(maybe(st.floats(0, 24))),
        plants=draw(st.sampled_from(("none", "few", "many"))),
        lid=draw(maybe(st.booleans())),
        room_temperature_c=draw(maybe(st.floats(5, 35))),
        altitude_m=draw(st.floats(0, 3000)),
        normal_food_g_per_d=draw(maybe(spans)),
        normal_food_protein=draw(shares),
        source_water=r.SourceWater(**draw(water), salinity_g_per_kg=draw(st.floats(0, 35))),
        fill_conditioned=draw(st.booleans()),
        kits=told_kits,
        events=tuple(draw(st.lists(happenings(zone), max_size=4))),
        habits=tuple(draw(st.lists(habits(zone), max_size=2))),
        readings=tuple(draw(st.lists(readings(zone, tuple(told_kits)) | words(zone), max_size=4))),
        notes=draw(texts),
        food_amounts=draw(st.dictionaries(st.sampled_from(("pinch", "pellet")), spans)),
        settled_levels=draw(st.builds(r.SettledLevels, positive, positive)),
        limit_edits=draw(limit_edits()),
        allowed_risk=draw(st.builds(r.AllowedRisk, *[st.floats(0.001, 0.999)] * 3)),
        own_animals=draw(own_animals()),
        co2_injected=draw(st.booleans()),
        co2_target_mg_per_l=draw(maybe(positive)),
    )
