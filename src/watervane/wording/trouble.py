"""Trouble in sentences: what it may be, what to check next, when to call for help."""

from __future__ import annotations

from watervane.records import NAMELESS_FISH, Reading
from watervane.records.trouble import SpokenChange, Trouble, TroubleCause, TroubleCheck
from watervane.wording.amounts import listed, number, out_of_twenty
from watervane.wording.dates import weekday_date
from watervane.wording.first_aid import aid_steps
from watervane.wording.shown import ION_PER_N, both_bases
from watervane.wording.tables import QUANTITY_NAMES
from watervane.wording.templates import phrase
from watervane.wording.today import alarm_sentence, asleep_sentence

STANDS_OUT, CLOSE, NAMED = 0.35, 0.6, 4
ROWS, LEAST_ROW = 8, 0.02
MOST_TESTS, MOST_LOOKS = 3, 3
QUIET = ("nothing", "kit-fault")
LEAST_PERCENT = 3
LITTLE, MUCH = 0.15, 0.5  # of the doubt that what was told takes away
NEARLY = 0.75  # of what the most telling check tells
SHOWS = {"ammonia": 0.2, "nitrite": 0.1}  # mg N/L: what counts as settled ends there


def trouble_sentences(found: Trouble) -> list[str]:
    """What it most likely is, how sure that is, and how little is known."""
    first, told = found.causes[0], found.answers
    signs, deeds = told.see or told.absent, set(told.done) - set(told.log_alone)
    if not (signs or told.who or told.since or deeds or told.readings):
        return [phrase("trouble-nothing-told"), _named(found.causes[:NAMED], "trouble-open")]
    sentences = reading_sentences(found)
    if first.probability >= STANDS_OUT:
        share = out_of_twenty(first.probability)
        sentences.append(phrase("trouble-likely", cause=cause_name(first.key), share=share))
        near = [c for c in found.causes[1:NAMED] if c.probability >= CLOSE * first.probability]
        if near:
            sentences.append(_named(near, "trouble-likely-close"))
    else:
        sentences.append(_named(found.causes[:NAMED], "trouble-open"))
    if first.key in QUIET and sum(c.probability for c in found.causes if c.key in QUIET) >= 0.5:
        sentences.append(phrase("trouble-quiet"))
    if not told.readings:
        sentences.append(phrase("trouble-signs-only" if signs else "trouble-no-signs"))
    if told.foretold_at is not None:
        sentences.append(phrase("trouble-foretold", date=weekday_date(told.foretold_at)))
    sentences.append(_known(1.0 - found.open_bits / found.asked_bits))
    if any(c.key.endswith("-signs") and c.probability >= 0.1 for c in found.causes[:NAMED]):
        sentences.append(phrase("trouble-no-diagnosis"))
    return [*sentences, *_read_notes(found)]


def _known(settled: float) -> str:
    """How far what was told narrows it down, as the share of the doubt that is gone."""
    if settled < LITTLE:
        return phrase("trouble-known-little")
    return phrase("trouble-known-some" if settled < MUCH else "trouble-known-much")


def reading_sentences(found: Trouble) -> list[str]:
    """What each reading means by itself: which limit it passes, for whom, and how fast."""
    read, alarms = found.answers.readings, found.alarms
    sentences = [alarm_sentence(each) for each in alarms.alarms]
    if alarms.asleep is not None:
        sentences.append(asleep_sentence(alarms.asleep, alarms.awake_ph))
    if read and found.held_against and not sentences:
        sentences = [phrase("trouble-read-within", animals=listed(list(found.held_against)))]
    if any(_shows(each) for each in read):
        sentences.append(phrase("trouble-read-colonies"))
    return sentences


def _read_notes(found: Trouble) -> list[str]:
    """As what readings were taken, and what would make them tell more."""
    read = found.answers.readings
    if not read:
        return []
    sentences, names = [], {each.quantity for each in read}
    if "ammonia" in names and "ph" not in names:
        sentences.append(phrase("trouble-read-ph"))
    if NAMELESS_FISH in found.held_against:
        sentences.append(phrase("trouble-read-nameless"))
    sentences.append(phrase("trouble-read-taken", readings=listed([_taken(r) for r in read])))
    sentences += _before(found)
    if any(each.value.basis == "unknown" for each in read):
        sentences.append(phrase("trouble-read-ion"))
    return sentences


def _before(found: Trouble) -> list[str]:
    """What the readings were held against, of before it began."""
    now = {each.quantity: each for each in found.answers.readings}
    pairs = [(each, now[each.quantity]) for each in found.answers.before if each.quantity in now]
    if not pairs:
        return []
    told = {"readings": listed([_taken(each) for each, _ in pairs])}
    if all(each.at < later.at for each, later in pairs):
        day = weekday_date(max(each.at for each, _ in pairs))
        return [phrase("trouble-read-before-day", day=day, **told)]
    return [phrase("trouble-read-before", **told)]


def _shows(reading: Reading) -> bool:
    low, least = reading.value.low, SHOWS.get(reading.quantity)
    return low is not None and least is not None and low >= least


def _taken(reading: Reading) -> str:
    """A reading as it was understood, with its unit; of nitrogen on both bases."""
    low, high = reading.value.low, reading.value.high
    level = high if low is None else low
    name = quantity(reading.quantity)
    if level is None or reading.quantity not in ION_PER_N:
        return f"{name} {reading.value.raw.replace('degC', '°C')}".strip()
    amount = both_bases(reading.quantity, level)
    if reading.value.kind in ("above", "below"):
        amount = phrase(f"trouble-read-{reading.value.kind}", amount=amount)
    return f"{name} {amount}"


def _named(causes: tuple[TroubleCause, ...] | list[TroubleCause], key: str) -> str:
    told = [
        phrase("aid-likely-one", cause=cause_name(c.key), share=out_of_twenty(c.probability))
        for c in causes
    ]
    return phrase(key, causes=listed(told))


def hour_steps(found: Trouble) -> list[str]:
    """What to do in this hour, with the change of water that readings speak for."""
    *steps, watch = aid_steps(found.hour)
    told = found.spoken_change
    return [*steps, watch] if told is None else [*steps, _change(told), watch]


def _change(told: SpokenChange) -> str:
    """How much, with what care, and what is left for later."""
    percent, litres = f"{100.0 * told.share:.0f}", told.litres
    amount = phrase("trouble-change-share", percent=percent)
    if litres is not None:
        amount = phrase("trouble-change-litres", percent=percent, litres=number(litres))
    stir = phrase("trouble-change-stir") if told.stirred else ""
    whole = f"{100.0 * told.asked_share:.0f}"
    more = ""
    if told.asked_share > told.share:
        more = phrase("trouble-change-more", whole=whole)
    parts = (phrase("trouble-change-water", amount=amount), stir, more)
    return " ".join(part for part in parts if part)


def cause_name(key: str) -> str:
    """A cause in words."""
    return phrase(f"trouble-cause-{key}")


def shown_causes(found: Trouble) -> tuple[TroubleCause, ...]:
    """Causes worth a row."""
    likely = tuple(c for c in found.causes if c.probability >= LEAST_ROW)
    return (likely or found.causes[:NAMED])[:ROWS]


def cause_rows(found: Trouble) -> tuple[tuple[str, ...], list[tuple[str, str, str, str]]]:
    """Headers and rows: cause, chance, what speaks for it and against it."""
    heads = ("cause", "chance", "for", "against")
    rows = [
        (
            capital(cause_name(cause.key)),
            out_of_twenty(cause.probability),
            _answers(cause.speaks, found) or phrase("trouble-none-for"),
            _answers(cause.against, found),
        )
        for cause in shown_causes(found)
    ]
    return tuple(phrase(f"trouble-causes-{head}") for head in heads), rows


def cause_sentences(found: Trouble) -> list[str]:
    """The same, a sentence a cause."""
    sentences = []
    for cause in shown_causes(found):
        told = {"share": out_of_twenty(cause.probability), "cause": cause_name(cause.key)}
        line = phrase("trouble-cause-line", **told)
        for key, pairs in (("for", cause.speaks), ("against", cause.against)):
            if pairs:
                line = f"{line} {phrase(f'trouble-line-{key}', what=_answers(pairs, found))}"
        sentences.append(line)
    return sentences


def _answers(pairs: tuple[tuple[str, str], ...], found: Trouble) -> str:
    told, logged = [], found.answers.log_alone
    for kind, key in pairs:
        if kind == "reading":
            what = capital(quantity(key))
        elif kind == "done":
            what = phrase(f"aid-done-{key}")
        else:
            what = phrase(f"trouble-{kind}-{key}")
        by_log = kind == "done" and key in logged
        told.append(phrase("trouble-speaks-log" if by_log else f"trouble-speaks-{kind}", what=what))
    return "; ".join(told)


def quantity(key: str) -> str:
    """What is read, in words, as in the middle of a sentence."""
    return QUANTITY_NAMES.get(key, key)


def chosen_checks(found: Trouble) -> list[TroubleCheck]:
    """Tests and looks that tell most; tests without a kit for them come only after the others."""
    tests = [check for check in found.checks if check.kind == "test" and _worth(check, found)]
    looks = [check for check in found.checks if check.kind == "look" and _worth(check, found)]
    chosen = [*tests[:MOST_TESTS], *looks[:MOST_LOOKS]]
    return sorted(chosen, key=lambda check: (not check.owned, -check.bits))


def _worth(check: TroubleCheck, found: Trouble) -> bool:
    return _percent(check, found) >= LEAST_PERCENT


def _percent(check: TroubleCheck, found: Trouble) -> int:
    return round(100.0 * check.bits / found.open_bits) if found.open_bits > 0.0 else 0


def check_sentences(found: Trouble) -> list[str]:
    """What to check next, the most telling first."""
    chosen = chosen_checks(found)
    if not chosen:
        return [phrase("trouble-checks-none")]
    sentences, best = [], max(check.bits for check in chosen)
    for check in chosen:
        if check.kind == "look":
            text = phrase(f"trouble-look-{check.key}")
        else:
            key = "trouble-check-test" if check.owned else "trouble-check-test-other"
            text = phrase(key, what=quantity(check.key))
        share = check.bits / best
        told = "most" if share >= 1.0 else "nearly" if share >= NEARLY else "less"
        sentences.append(phrase(f"trouble-check-{told}", text=text))
    return sentences


def help_sentences(found: Trouble) -> list[str]:
    """When to call a veterinarian, how it ends humanely, and what never to do."""
    why = [phrase(f"trouble-vet-{key}") for key in found.veterinarian]
    return [
        *(why or [phrase("trouble-vet-usual")]),
        phrase("trouble-end-of-life"),
        phrase("trouble-release"),
        phrase("aid-people"),
    ]


def capital(text: str) -> str:
    """As the first word of a line."""
    return text if text.startswith("pH") else text[:1].upper() + text[1:]
