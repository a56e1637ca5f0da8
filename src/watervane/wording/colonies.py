"""The colonies in sentences and as a table: what they could do, where they live, what they bear."""

from __future__ import annotations

from watervane.records import Colonies, Colony, ColonyPart, NumberQuantiles
from watervane.records.colonies import COLONIES, HABITATS, LOSSES, WHOLE
from watervane.wording.amounts import acidity, milligrams, number, out_of_twenty
from watervane.wording.dates import weekday_date
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

RELIED_ON = 0.8  # of the imagined tanks: what most of them do
NEARLY_ALL = 0.95
ASLEEP = 0.2


def colonies_title(colonies: Colonies) -> str:
    """Heading over all of it."""
    date = weekday_date(colonies.as_of, beside=colonies.as_of)
    return phrase("colonies-title", tank=colonies.tank, date=date)


def colonies_sentences(colonies: Colonies) -> list[str]:
    """Whether they carry their load; what each could do, where it lives, what it bears."""
    sentences = [carry_sentence(colonies)]
    for substance in COLONIES:
        sentences += _of_colony(substance, colonies.guilds[substance], colonies)
    water = phrase(
        "colonies-water",
        temperature=number(colonies.temperature_c.p50 or 0.0, 3),
        ph=acidity(colonies.ph.p50 or 0.0),
        oxygen=number(colonies.oxygen_mg_per_l.p50 or 0.0),
    )
    return [*sentences, water]


def carry_sentence(colonies: Colonies) -> str:
    """Both, one or neither of the colonies carries what is offered to it."""
    if not any(_some(colonies.guilds[name].parts[WHOLE].load) for name in COLONIES):
        return phrase("colonies-nothing-offered")
    chances = {name: colonies.guilds[name].chance_enough for name in COLONIES}
    told = {name: out_of_twenty(chance) for name, chance in chances.items()}
    able = [name for name in COLONIES if chances[name] >= RELIED_ON]
    if len(able) != 1:
        return phrase("colonies-both-enough" if able else "colonies-none-enough", **told)
    short = next(name for name in COLONIES if name not in able)
    return phrase(
        "colonies-one-enough",
        able=phrase(f"colonies-name-{able[0]}"),
        able_share=told[able[0]],
        short=phrase(f"colonies-name-{short}"),
        short_share=told[short],
        substance=short,
    )


def colonies_table(colonies: Colonies) -> NumberTable:
    """Each colony in each habitat, and in all."""
    rows = []
    for substance in COLONIES:
        name = phrase(f"colonies-Name-{substance}")
        for habitat in (*HABITATS, WHOLE):
            part = colonies.guilds[substance].parts[habitat]
            where = phrase(f"colonies-habitat-{habitat}")
            rows.append((phrase("colonies-row", name=name, habitat=where), *_cells(part)))
    headers = ("where", "fed", "clean", "load", "share")
    caption = phrase(
        "colonies-caption",
        ammonia=number(colonies.levels.ammonia_mg_n_per_l),
        nitrite=number(colonies.levels.nitrite_mg_n_per_l),
    )
    return NumberTable(
        phrase("colonies-table"),
        caption,
        tuple(phrase(f"colonies-headers-{each}") for each in headers),
        tuple(rows),
    )


def _cells(part: ColonyPart) -> tuple[str, ...]:
    amounts = (_cell(each) for each in (part.capacity, part.held, part.load))
    share = part.living_share
    low, middle, high = (_percent(each) for each in (share.p05, share.p50, share.p95))
    if low == high:
        return (*amounts, f"{middle} %")
    return (*amounts, phrase("colonies-percent", middle=middle, low=low, high=high))


def _cell(told: NumberQuantiles) -> str:
    low, middle, high = (milligrams(each or 0.0) for each in (told.p05, told.p50, told.p95))
    if low == high:
        return middle
    return phrase("colonies-cell", middle=middle, low=low, high=high)


def _percent(share: float | None) -> str:
    return f"{100.0 * (share or 0.0):.0f}"


def _of_colony(substance: str, colony: Colony, colonies: Colonies) -> list[str]:
    whole = colony.parts[WHOLE]
    load = whole.load.p50 or 0.0
    if not _some(whole.load) and not _some(whole.capacity):
        few = phrase("colonies-hardly-any", name=phrase(f"colonies-name-{substance}"))
        return [few, *_ahead(colony, colonies)]
    able = phrase(
        "colonies-able",
        name=phrase(f"colonies-name-{substance}"),
        substance=substance,
        level=number(colonies.levels.of(substance)),
        food=number(load / colonies.mg_n_per_g_food),
        **_three("", whole.capacity, "capacity"),
        **_three("held_", whole.held, "held"),
        **_three("load_", whole.load, "load"),
    )
    where = {habitat: _percent(colony.parts[habitat].living_share.p50) for habitat in HABITATS}
    sentences = [able, *_ahead(colony, colonies), phrase("colonies-where", **where)]
    names = dict(zip(LOSSES, ("gentle", "tap", "lost"), strict=True))
    taken = {names[loss]: _percent(one.taken.p50) for loss, one in colony.losses.items()}
    sentences.append(phrase("colonies-losses", **taken))
    sentences.append(_stays(colony))
    asleep = 1.0 - (colony.awake.p50 or 0.0)
    if asleep >= ASLEEP:
        sentences.append(phrase("colonies-asleep", percent=_percent(asleep)))
    return sentences


def _some(told: NumberQuantiles) -> bool:
    """Whether the middle imagined tank has enough of it to be told."""
    return milligrams(told.p50 or 0.0) != "0"


def _stays(colony: Colony) -> str:
    """What a deed to the filter leaves, against the load."""
    if colony.chance_enough < RELIED_ON:
        return phrase("colonies-stays-short")
    least = min(one.chance_enough for one in colony.losses.values())
    if least >= NEARLY_ALL:
        return phrase("colonies-stays-all")
    enough = (out_of_twenty(colony.losses[loss].chance_enough) for loss in LOSSES)
    keys = ("gentle_enough", "tap_enough", "lost_enough")
    return phrase("colonies-stays", **dict(zip(keys, enough, strict=True)))


def _three(before: str, told: NumberQuantiles, middle: str) -> dict[str, str]:
    return {
        middle: milligrams(told.p50 or 0.0),
        f"{before}low": milligrams(told.p05 or 0.0),
        f"{before}high": milligrams(told.p95 or 0.0),
    }


def _ahead(colony: Colony, colonies: Colonies) -> list[str]:
    if len(colonies.times) < 2:
        return []
    capacity, load = colony.capacity[WHOLE], colony.load[WHOLE]
    return [
        phrase(
            "colonies-ahead",
            date=weekday_date(colonies.times[-1], beside=colonies.as_of),
            capacity=milligrams(capacity.p50[-1]),
            low=milligrams(capacity.p05[-1]),
            high=milligrams(capacity.p95[-1]),
            load=milligrams(load.p50[-1]),
        )
    ]
