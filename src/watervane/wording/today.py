"""Today in plain sentences: the verdict, the hour if it hurries, the steps and what they buy."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import TypeGuard

from watervane.records import Act, Danger, Driver, Finding, ReadAlarm, Swing, Today, WeekPlan
from watervane.units import QUANTITY_UNITS
from watervane.wording.amounts import (
    acidity,
    concentration,
    listed,
    number,
    out_of_twenty,
)
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.first_aid import act_texts
from watervane.wording.kept_risks import OF_HARM, gains, least_that_keeps
from watervane.wording.shown import ION_PER_N, both_bases, shown_by_kit
from watervane.wording.tables import QUANTITY_NAMES
from watervane.wording.templates import phrase
from watervane.wording.watched import amount_text, doubted, of_limit, quantity_name

TIERS = ("acute", "chronic", "comfort")
WORTH_TELLING = 0.05
LEAST_CHANGED = 0.05  # of the water, since a reading
SCALE_MOST = 10.0  # two digits of less; more has three
MOST_BESIDES = 3
WARMTH = "temperature_c"
BOTH_SIDES = ("temperature", "ph")  # too much of which harms, and too little
AID_ACT = "aid-act-"


def today_title(today: Today) -> str:
    """Whose day it is."""
    date = weekday_date(today.as_of, beside=today.as_of)
    return phrase("verdict-title", tank=today.tank, date=date)


def verdict_sentences(today: Today) -> list[str]:
    """The verdict, what it rests on, what else is out, and what would change it."""
    said, leading = today.verdict, today.verdict.leading
    sentences = [_verdict(today)]
    if said.key == "reading-harmful":
        sentences += _as_if(_alarm(today))
    if said.drivers:
        sentences.append(phrase("verdict-now", drivers=listed([_driver(d) for d in said.drivers])))
    if said.swing is not None:
        sentences.append(_mind(said.swing, leading))
    if _names_nitrogen(today):
        sentences.append(phrase("verdict-units"))
    besides = [
        phrase("verdict-also-item", share=out_of_twenty(each.soon), **_about(each, today.remarks))
        for each in said.dangers
        if each is not leading and each.soon >= WORTH_TELLING
    ][:MOST_BESIDES]
    if besides:
        sentences.append(phrase("verdict-also", items=listed(besides)))
    return sentences


def hour_sentences(today: Today) -> list[str]:
    """What to do within the hour, numbered; nothing where there is no hurry."""
    return numbered(hour_texts(today.emergency))


def hour_texts(steps: Sequence[Finding]) -> list[str]:
    """The same without numbers: acts as first aid says them, then what goes with them."""
    acts = [each for each in steps if each.key.startswith(AID_ACT)]
    ph = next((str(each.arguments.get("ph") or "") for each in acts), "")
    told = act_texts([each.key.removeprefix(AID_ACT) for each in acts], {"ph": ph} if ph else {})
    said = {id(act): text for act, text in zip(acts, told, strict=True)}
    return [said[id(each)] if id(each) in said else _figured(each) for each in steps]


def step_sentences(today: Today) -> list[str]:
    """The chosen steps, numbered, and what they buy."""
    chosen, planned = today.chosen, today.planned
    if chosen is None or planned is None:
        return []
    if not chosen.acts:
        enough = len(today.good_enough) == len(TIERS)
        key = "steps-none" if enough else "steps-none-better"
        sentences = [phrase("steps-none-beside-hour" if today.emergency else key)]
        sentences.append(phrase("steps-risk-now", **_chances(chosen)))
    else:
        sentences = numbered([act_sentence(act) for _, act in today.in_order])
        before = {f"{tier}_before": out_of_twenty(planned.chances[tier]) for tier in TIERS}
        sentences.append(phrase("steps-buys", **_chances(chosen), **before, **_work(chosen)))
        if today.can_wait_d:
            until = today.as_of + timedelta(days=today.can_wait_d)
            day = weekday_date(until, beside=today.as_of)
            sentences.append(phrase("steps-can-wait", day=day))
    missed = [phrase(f"tier-{t}") for t in OF_HARM if t not in today.good_enough]
    if missed:
        told, more = {"tiers": listed(missed), "tried": today.tried}, least_that_keeps(today)
        if more is None:
            sentences += [phrase("steps-not-enough", **told), *shortened(today)]
            sentences.append(phrase("steps-too-many"))
        else:
            what = listed([short_act(act) for act in more.acts])
            told |= {"what": what, "minutes": f"{more.minutes:.0f}"}
            sentences += [phrase("steps-more-work", **told), *shortened(today)]
    elif "comfort" not in today.good_enough:
        sentences += shortened(today)
    other = today.runner_up
    if other is not None and other.acts and chosen.acts and gains(other, planned):
        what = listed([short_act(act) for act in other.acts])
        sentences.append(phrase("steps-or", what=what, **_chances(other), **_work(other)))
    sentences += [_stock(each) for each in today.stock]
    if chosen.acts:
        sentences.append(phrase("steps-again"))
    return sentences


def _stock(finding: Finding) -> str:
    told = finding.arguments
    subject = phrase(f"limit-subject-{str(told['subject']).replace('_', '-')}")
    return phrase(
        finding.key,
        subject=subject,
        share=out_of_twenty(float(str(told["chance"]))),
        weekly=round(100.0 * float(str(told["weekly_share"]))),
        percent=round(100.0 * float(str(told["food_share"]))),
        animals=told["animals"],
        carried=told["carried"],
    )


def note_sentences(today: Today) -> list[str]:
    """What to know of the chosen steps before they are done."""
    return [_figured(note) for note in today.notes]


def _figured(finding: Finding) -> str:
    """A finding's sentence with no more digits than a kitchen scale or a thermometer has."""
    told = {
        name: number(value) if _fine(value) else value for name, value in finding.arguments.items()
    }
    return phrase(finding.key, **told)


def _fine(value: object) -> TypeGuard[float]:
    return isinstance(value, float) and value < SCALE_MOST and value != round(value)


def act_sentence(act: Act) -> str:
    """One thing to do, with its amount."""
    return phrase(f"act-{act.kind}{_often(act)}", **_told(act))


def due_sentence(act: Act) -> str:
    """The same where its day stands beside it: one that was put off does not name that again."""
    return phrase("act-change-due", **_told(act)) if _often(act) == "-later" else act_sentence(act)


def short_act(act: Act) -> str:
    """The same in a few words."""
    return phrase(f"short-{act.kind}{_often(act)}", **_told(act))


def _verdict(today: Today) -> str:
    said, leading = today.verdict, today.verdict.leading
    key = f"verdict-{said.key}"
    if said.key == "nothing-points-to-harm":
        if not today.diagnostics.readings_used:
            key = "verdict-nothing-told"
        elif odd_today(today):
            key = "verdict-nothing-but-odd"
        harm = [
            each.soon if each.tier == "acute" else min(each.soon, each.week)
            for each in said.dangers
            if each.tier != "comfort"
        ]
        return phrase(key, harm=out_of_twenty(max(harm, default=0.0)))
    if said.key == "reading-harmful":
        return f"{alarm_sentence(_alarm(today))} {phrase('verdict-reading-odd')}"
    if leading is None:
        return phrase(key)
    chance = max(leading.now, leading.soon)
    told = {"share": out_of_twenty(chance), "week": out_of_twenty(leading.week)}
    about = _about(leading, today.remarks)
    if said.key == "out-of-range" and odd_today(today):
        key = "verdict-out-of-range-but-odd"
    return phrase(key, animals=of_limit(leading.limit).animals, **about, **told)


def odd_today(today: Today) -> bool:
    """Whether what was read on the day itself fits nothing else: the verdict does not go by it."""
    day = today.as_of.date().isoformat()
    found = today.diagnostics.findings
    return any(f.key == "day-contradicts" and str(f.arguments["day"]) == day for f in found)


def _names_nitrogen(today: Today) -> bool:
    said = today.verdict
    about = "" if said.leading is None else said.leading.subject
    read = "" if said.alarm is None else said.alarm.quantity
    return read in ION_PER_N or about in ("ammonia", "nitrite")


def alarm_sentence(alarm: ReadAlarm) -> str:
    """What a reading means if it is right."""
    tier = alarm.limit.tier
    key = tier if tier != "comfort" else f"{tier}-{alarm.limit.subject}"
    return phrase(f"verdict-reading-harmful-{key}", **_read(alarm))


def asleep_sentence(alarm: ReadAlarm, awake_ph: float) -> str:
    """What ammonia in acid water would mean, were the water not acid."""
    return phrase("verdict-reading-asleep", ph=acidity(awake_ph), **_read(alarm))


def _read(alarm: ReadAlarm) -> dict[str, str]:
    one = of_limit(alarm.limit)
    nitrogen = alarm.quantity in ION_PER_N
    if nitrogen:
        read = both_bases(alarm.quantity, alarm.level)  # a keeper knows it as the kit shows it
    else:
        read = amount_text(alarm.limit.quantity, alarm.level)
    name = alarm.quantity if nitrogen else one.name
    return {"quantity": name, "read": read, "text": one.text, "animals": one.animals}


def _as_if(alarm: ReadAlarm) -> list[str]:
    """What to do as if a reading were right, and that the rest does not go by it."""
    changes = alarm.quantity in ION_PER_N and not waits_for_a_test(alarm)
    how = "-wary" if alarm.after else "-once" if changes else ""
    return [*as_if(alarm), phrase(f"verdict-as-if-follows{how}")]


def as_if(alarm: ReadAlarm) -> list[str]:
    """What to do as if a reading were right, with what was changed since allowed for."""
    if alarm.quantity not in ION_PER_N:
        return [phrase(f"at-once-{alarm.limit.subject}{_side(alarm)}")]
    share = f"{100 * alarm.share:.0f}"
    if alarm.after:
        return [
            phrase("verdict-as-if-wary", deed=phrase(f"wary-{alarm.after}")),
            phrase("verdict-as-if-wary-do"),
            phrase("verdict-as-if-wary-read", percent=share),
        ]
    key = "verdict-as-if-gently" if alarm.gently else "verdict-as-if"
    if alarm.changed_since < LEAST_CHANGED:
        return [phrase(key, percent=share)]
    left = both_bases(alarm.quantity, alarm.level * (1.0 - alarm.changed_since))
    percent = f"{100 * alarm.changed_since:.0f}"
    since = phrase("verdict-changed-since", percent=percent, left=left)
    if waits_for_a_test(alarm):
        return [since, phrase("verdict-as-if-later")]
    return [since, phrase(key, percent=share)]


def _side(alarm: ReadAlarm) -> str:
    return f"-{alarm.limit.side}" if alarm.limit.subject in BOTH_SIDES else ""


def waits_for_a_test(alarm: ReadAlarm) -> bool:
    """Whether the water was changed since, and no more of it is to be changed before a test.

    What is left would harm in the long run only, or the water bears no more at once; or new water
    may be what hurts.
    """
    if alarm.after:
        return True
    changed = alarm.changed_since >= LEAST_CHANGED
    return changed and (alarm.gently or alarm.limit.tier != "acute")


def _alarm(today: Today) -> ReadAlarm:
    if today.verdict.alarm is None:
        raise ValueError("a verdict on a reading without the reading")
    return today.verdict.alarm


def _about(danger: Danger, assumed: Sequence[Finding]) -> dict[str, str]:
    one = of_limit(danger.limit)
    return {"text": doubted(one, assumed), "mean": one.mean}


def _driver(driver: Driver) -> str:
    told = (driver.value.p05, driver.value.p50, driver.value.p95)
    texts = [amount_text(driver.name, value) if value is not None else "?" for value in told]
    numbers = [text.partition(" ")[0] for text in texts]
    unit = texts[1].partition(" ")[2]
    words = {"name": "warmth" if driver.name == WARMTH else quantity_name(driver.name)}
    words |= dict(zip(("low", "middle", "high"), numbers, strict=True))
    return phrase("verdict-driver", **words, unit=f" {unit}" if unit else "")


def _mind(swing: Swing, leading: Danger | None) -> str:
    comfort = leading is not None and leading.tier == "comfort"
    harm = phrase("tier-comfort" if comfort else "verdict-mind-harm")
    kit = phrase("verdict-mind-kit", kit=swing.kit) if swing.kit else ""
    name = QUANTITY_NAMES.get(swing.quantity, swing.quantity)
    key = "verdict-mind-falls" if swing.if_low < swing.if_high else "verdict-mind-rises"
    told = {"low": _read_off(swing, swing.low), "high": _read_off(swing, swing.high)}
    chances = {"if_low": out_of_twenty(swing.if_low), "if_high": out_of_twenty(swing.if_high)}
    if swing.low <= 0.0:
        key = "verdict-mind-none"
    return phrase(key, quantity=name, kit=kit, harm=harm, **told, **chances)


def _read_off(swing: Swing, level: float) -> str:
    """A level as a kit shows it."""
    if swing.quantity in ION_PER_N:
        return shown_by_kit(swing.quantity, swing.basis).amount(level)
    unit = QUANTITY_UNITS.get(swing.quantity, "").replace("degC", "\N{DEGREE SIGN}C")
    write = acidity if swing.quantity == "ph" else concentration
    return f"{write(level)} {unit}".strip()


def _chances(way: WeekPlan) -> dict[str, str]:
    return {tier: out_of_twenty(way.chances[tier]) for tier in TIERS}


def _work(way: WeekPlan) -> dict[str, str]:
    return {"minutes": f"{way.minutes:.0f}", "litres": f"{way.litres:.0f}"}


def _often(act: Act) -> str:
    if act.kind not in ("change", "check"):
        return ""
    if act.kind == "change" and act.times == 1:
        return "-later" if act.wait_d else ""
    return "-daily" if act.every_days == 1.0 else "-every"


def _told(act: Act) -> dict[str, object]:
    return {
        "percent": f"{100.0 * act.amount:.0f}",
        "litres": number(act.litres, 2),
        "amount": f"{act.amount:.3g}",
        "day": weekday_date(act.at),
        "short_day": short_date(act.at),
        "more": act.times - 1,
        "times": act.times,
        "every": f"{act.every_days:g}",
        "what": listed([quantity for quantity, _ in act.above]) or act.what,
        "marks": phrase("act-or").join(_mark(*each) for each in act.above),
    }


def _mark(quantity: str, level_mg_n_per_l: float) -> str:
    amount = both_bases(quantity, level_mg_n_per_l)
    return phrase("act-check-mark", quantity=quantity, amount=amount)


def numbered(texts: Sequence[str]) -> list[str]:
    """Steps with their places."""
    return [phrase("steps-numbered", number=n, text=text) for n, text in enumerate(texts, 1)]


def shortened(today: Today) -> list[str]:
    """What is won where the limits are passed anyway: time beyond them."""
    chosen, planned = today.chosen, today.planned
    if chosen is None or planned is None or not chosen.acts:
        return []
    for tier in TIERS:
        before, after = planned.hours[tier], chosen.hours[tier]
        if tier in today.good_enough or before < 1.0:
            continue
        words = {"tier": phrase(f"tier-{tier}")}
        if after < 0.9 * before:
            told = {"before": number(before, 2), "after": number(after, 2)}
            return [phrase("steps-hours", **words, **told)]
        far = [1.0 + way.burden[tier] / way.hours[tier] for way in (planned, chosen)]
        if far[1] < 0.8 * far[0]:
            told = {"before": number(far[0], 2), "after": number(far[1], 2)}
            return [phrase("steps-far", **words, **told)]
    return []


__all__ = [
    "act_sentence",
    "alarm_sentence",
    "as_if",
    "asleep_sentence",
    "due_sentence",
    "hour_sentences",
    "hour_texts",
    "note_sentences",
    "odd_today",
    "short_act",
    "shortened",
    "step_sentences",
    "today_title",
    "verdict_sentences",
]
