"""A choice of animals in sentences: numbers, reasons, what holds it back, what would help."""

from __future__ import annotations

from watervane.records import Choice, Finding, Help, OneMore, RoomUsed
from watervane.reference import UnknownAnimalError, find_animal
from watervane.units import Span
from watervane.wording.amounts import listed, number
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

MOST_ONE_MORE = 3  # told of one room
MOST_DIGITS = 4
BARE = ("level", "theirs")  # of the quantity named just before


def choice_title(choice: Choice) -> str:
    """Heading over all of it."""
    name = choice.wish.plan.name
    return phrase("choose-title", name=name, net=number(choice.net_l, 2))


def choice_sentences(choice: Choice) -> list[str]:
    """What can be kept, at which temperature, with which work."""
    if not choice.chosen:
        return [phrase("choose-nobody"), *_water(choice)]
    water = number(choice.temperature_c, 3)
    key = "choose-whole" if choice.whole else "choose-part"
    animals = [
        phrase("choose-animal", count=each.count, name=called(each.species))
        for each in choice.chosen
    ]
    told = [
        phrase(key, water_c=water, share=str(int(100.0 * choice.worth.met + 1e-6))),
        phrase("choose-list", animals=listed(animals)),
        phrase("choose-all-grown"),
        *_water(choice),
        _change(choice),
    ]
    if choice.hottest_c > choice.temperature_c:
        told.append(phrase("choose-hottest", hottest_c=number(choice.hottest_c, 3)))
    return told


def _water(choice: Choice) -> list[str]:
    """The water they are held against, where it is known."""
    water = choice.wish.water
    told = {"ph": water.tank_ph, "gh": water.gh_dgh, "kh": water.kh_dkh}
    known = [
        phrase(f"choose-water-{name}", value=value if isinstance(value, Span) else number(value, 3))
        for name, value in told.items()
        if value is not None
    ]
    return [phrase("choose-water", told=listed(known))] if known else []


def _change(choice: Choice) -> str:
    used = next((room.used for room in choice.rooms if room.room == "change"), 0.0)
    change = number(choice.change_l_per_week, 2)
    return phrase("choose-change-told", change=change, used=number(used, 2))


def choice_table(choice: Choice) -> NumberTable:
    """The animals chosen, in figures."""
    columns = ("animal", "count", "least", "wished", "length", "food", "change")
    rows = tuple(
        (
            phrase("choose-both-names", name=called(each.species), scientific=each.species),
            str(each.count),
            str(each.least),
            str(each.most),
            number(each.length_cm, 2),
            number(each.food_g_per_d, 2),
            number(each.change_l_per_week, 2),
        )
        for each in choice.chosen
    )
    caption = phrase("choose-table-caption", grades=phrase("choose-table-grades"))
    headers = tuple(phrase(f"choose-col-{name}") for name in columns)
    return NumberTable(phrase("choose-table"), caption, headers, rows)


def rooms_table(choice: Choice) -> NumberTable:
    """What all share: how much of it the animals chosen take, and how much there is."""
    rows = tuple(
        (
            phrase(f"choose-share-{each.room}"),
            number(each.used, 2),
            number(each.limit, 2),
            phrase(f"choose-share-{'binds' if each.binds else 'left'}"),
        )
        for each in choice.rooms
    )
    headers = tuple(phrase(f"choose-col-{name}") for name in ("shared", "taken", "limit", "binds"))
    return NumberTable(phrase("choose-shared"), phrase("choose-shared-caption"), headers, rows)


def choice_lists(choice: Choice) -> list[tuple[str, str, list[str]]]:
    """Names and headings with their lines; a heading without lines is left out."""
    left = [choice_reason(r) for each in choice.left_out for r in each.reasons]
    pairs = [choice_reason(pair.reason) for pair in choice.pairs]
    further = [each for each in pairs if each not in left]  # a reason is told once
    lists = [
        ("binding", [_binding(each) for each in choice.rooms if each.binds]),
        ("left", list(dict.fromkeys(left))),
        ("pairs" if len(further) == len(pairs) else "pairs-more", further),
        ("helps", [help_line(each) for each in choice.helps]),
        ("mind", [choice_reason(each) for each in choice.findings]),
    ]
    return [(name, phrase(f"choose-{name}-title"), lines) for name, lines in lists if lines]


def choice_reason(finding: Finding) -> str:
    """A reason against an animal or a pair, or a caution, as a sentence."""
    return _sentence(finding.key, dict(finding.arguments))


def help_line(help_: Help) -> str:
    """One change that would help."""
    told = dict(help_.arguments)
    names = told.get("names")
    if isinstance(names, list | tuple):
        told["names"] = listed([called(str(each)) for each in names])
    then = told.get("then")
    if isinstance(then, Help):
        line = help_line(then)
        told["then"] = line[0].lower() + line[1:]
    return _sentence(f"choose-help-{help_.key}", told)


def called(species: str) -> str:
    """The usual trade name of a kind, or its own where the catalogue has none."""
    try:
        names = find_animal(species).common_names
    except UnknownAnimalError:
        return species
    return names[0] if names else species


def _sentence(key: str, told: dict[str, object]) -> str:
    for name in ("wishes", "kept"):
        if name in told:
            told[name] = _counted(told[name])
    for name in ("name", "one", "other"):
        if name in told:
            told[name] = called(str(told[name]))
    needs = told.get("needs")
    if isinstance(needs, list | tuple):
        keys = [f"animal-welfare-{str(each).replace(' ', '-')}" for each in needs]
        told["needs"] = " ".join(phrase(each) for each in keys)
    if "quantity" in told:
        told |= _ranges(f"choose-quantity-{told['quantity']}", told)
    text = phrase(key, **told)
    return text[0].upper() + text[1:]


def _counted(animals: object) -> str:
    """Kinds with their numbers, as a finding has them."""
    pairs = animals if isinstance(animals, list) else []
    return listed(
        [phrase("choose-animal", count=count, name=called(str(name))) for name, count in pairs]
    )


def _ranges(key: str, told: dict[str, object]) -> dict[str, object]:
    """Ranges and levels of one quantity in words, with digits enough that they are seen apart."""
    spans = {n: told[n] for n in ("level", "wanted", "ours", "theirs") if n in told}
    ends = {name: each for name, each in spans.items() if isinstance(each, Span)}
    digits = next((n for n in (2, 3, 4) if _apart(*ends.values(), digits=n)), MOST_DIGITS)
    found: dict[str, object] = {}
    for name, each in ends.items():
        low, high = number(each.low, digits), number(each.high, digits)
        level = low if low == high else phrase("choose-level", low=low, high=high)
        found[name] = level if name in BARE else phrase(key, level=level)
    return found


def _apart(one: Span, other: Span, *, digits: int) -> bool:
    """Whether the ranges do not meet as they are printed."""
    low, high = (one, other) if one.high < other.low else (other, one)
    return float(number(low.high, digits)) < float(number(high.low, digits))


def _binding(room: RoomUsed) -> str:
    more = [_one_more(room.room, each) for each in room.one_more[:MOST_ONE_MORE] if each.lacking]
    told = [phrase(f"choose-binds-{room.room}", more=" ".join(more)).strip()]
    if room.together:
        others = listed([phrase(f"choose-room-{name}") for name in room.together])
        told.append(phrase("choose-binds-together", others=others))
    return " ".join(told)


def _one_more(room: str, more: OneMore) -> str:
    key = f"choose-more-{room}" if more.count == 1 else f"choose-group-{room}"
    return phrase(
        key,
        name=called(more.species),
        count=more.count,
        asks=number(more.asks, 2),
        lacking=number(more.lacking, 2),
    )
