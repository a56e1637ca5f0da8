"""The test that would teach most about a question, among those this tank's kits can make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from watervane.advice.choosing import choose, range_after_days, range_days, wrong_guesses
from watervane.advice.information import Information
from watervane.advice.questions import dated, yes_or_no
from watervane.engine.composed import Made
from watervane.engine.kit_chances import chances_by_member, witnesses
from watervane.engine.known import SLOTS_PER_DAY
from watervane.engine.showable import showable
from watervane.inference.observed import MODELLED
from watervane.process.calendar import Calendar
from watervane.records import NextTest, Reading, ReadingValue, Tank, TellingTest

Numbers = NDArray[np.float64]
QUESTIONS = ("settled", "danger")
USUAL = ("ammonia", "nitrite", "nitrate", "ph", "kh")  # where the file names no kit, no reading
UNTAUGHT = ("temperature",)  # the heater sets it
NITROGEN = ("ammonia", "nitrite", "nitrate")
EVENING_SHARE = 0.75  # of a day; courses have a stop there
LATE_D = 4.0 / 24.0  # so long after it, a test still counts as this evening's
LAST_EVENING = {"settled": 10, "danger": 1}  # a later test could not warn any more
DANGER_DAYS = 7
DANGEROUS = ("acute", "chronic")  # tiers; what is merely uncomfortable is no danger
OPEN = ("ahead", "will stall", "beyond horizon")  # states of *settled* that leave a question


@dataclass(frozen=True)
class _Tests:
    """Tests that could be taken, with the chances members give to what they show."""

    readings: tuple[Reading, ...]
    moments_d: tuple[float, ...]
    chances: tuple[Numbers, ...]

    def of(self, members: NDArray[np.int64]) -> list[Numbers]:
        return [each[:, members] for each in self.chances]

    def told(self, place: int, found: Information) -> TellingTest:
        reading = self.readings[place]
        bits, error = float(found.bits[place]), float(found.error_bits[place])
        return TellingTest(reading.at, reading.quantity, reading.kit, bits, error)


def next_test(one: Made, question: str | None = None) -> NextTest | None:
    """Find the test worth taking next.

    Parameters
    ----------
    one
        A forecast with what it was made from; no more is run.
    question
        ``settled`` or ``danger``; left out, the first of them as long as it is open.

    Returns
    -------
    NextTest
        ``None`` where too few members agree with the readings to lean on, or none can be tested.

    Raises
    ------
    ValueError
        If there is no such question.
    """
    if question is not None and question not in QUESTIONS:
        raise ValueError(f"no question {question!r}; there are {', '.join(QUESTIONS)}")
    is_open = one.dates is not None and one.forecast.settled.status in OPEN
    asked = question or ("settled" if is_open else "danger")
    if asked == "settled" and not is_open:
        return NextTest("settled", None, 0.0, 0.0)
    if one.fitted.health == "poor":
        return None
    tests = _tests(one, LAST_EVENING[asked])
    if not tests.readings:
        return None
    return _about_settled(one, tests) if asked == "settled" else _about_danger(one, tests)


def _about_settled(one: Made, tests: _Tests) -> NextTest:
    dates, horizon_d = one.dates, one.ready.scope.horizon_d
    if dates is None:
        raise ValueError("no date is foretold")
    moments = np.where(dates.moments_d <= horizon_d, dates.moments_d, np.inf)
    effective = _worth(one, len(dates.members))
    answers = dated(moments, dates.spared, effective)
    found = Information(tests.of(dates.members), answers, effective)
    told, best = _chosen(one, tests, found, NextTest("settled", None, answers.open_bits, 0.0))
    if best is None:
        return told
    waiting = moments[~dates.spared]
    now = range_days(waiting, np.ones(len(waiting)), horizon_d)
    after = range_after_days(found.chances[best], moments, dates.spared, horizon_d)
    return replace(told, range_now_days=now, range_after_days=after)


def _about_danger(one: Made, tests: _Tests) -> NextTest:
    """Of the limit about which a test tells most."""
    passed = {
        name: np.asarray(harm.by_day[:DANGER_DAYS].any(axis=0))
        for name, harm in one.harm.items()
        if harm.tier in DANGEROUS
    }
    count = len(one.fitted.members)
    effective = _worth(one, count)
    levels = {
        limit: Information(tests.chances, yes_or_no(over), effective)
        for limit, over in passed.items()
        if over.any() and not over.all()
    }
    if not levels:
        return NextTest("danger", None, 0.0, 0.0)
    limit, found = max(levels.items(), key=lambda item: float(item[1].bits.max()))
    told, best = _chosen(one, tests, found, NextTest("danger", limit, found.answers.open_bits, 0.0))
    if best is None:
        return told
    now, after = wrong_guesses(tests.chances[best], passed[limit])
    return replace(told, wrong_now=now, wrong_after=after)


def _chosen(
    one: Made, tests: _Tests, found: Information, blank: NextTest
) -> tuple[NextTest, int | None]:
    choice = choose(tests.moments_d, found, one.forecast.seed)
    of_kind: dict[tuple[str, str | None], int] = {}
    for place, reading in enumerate(tests.readings):
        kind = (reading.quantity, reading.kit)
        if found.bits[place] > found.bits[of_kind.setdefault(kind, place)]:
            of_kind[kind] = place
    order = sorted(of_kind.values(), key=lambda place: -found.bits[place])
    told = replace(
        blank,
        chance_bits=choice.chance_bits,
        ranked=tuple(tests.told(place, found) for place in order),
    )
    if not choice.worth_it:
        return told, None
    sooner = tests.moments_d[choice.best] > min(tests.moments_d)
    telling = found.bits[choice.soonest] > choice.chance_bits
    soonest = tests.told(choice.soonest, found) if sooner and telling else None
    return replace(told, best=tests.told(choice.best, found), soonest=soonest), choice.best


def _worth(one: Made, count: int) -> float:
    """Independent members that some, taken evenly from all, are worth."""
    everyone = len(one.fitted.members)
    alike = everyone / min(max(one.fitted.effective, 1.0), everyone)
    return count / (1.0 + (alike - 1.0) * (count - 1.0) / max(everyone - 1.0, 1.0))


def _tests(one: Made, last_evening: int) -> _Tests:
    """Each kit and quantity on each evening, unless it was just read."""
    ready, calendar = one.ready, one.ready.calendar
    again_d = 1.0 / SLOTS_PER_DAY
    found: list[tuple[Reading, float]] = []
    for template in test_templates(ready.known, one.readings, calendar):
        last_d = max((calendar.days(r.at) for r in one.readings if _same(r, template)), default=0.0)
        found += [
            (replace(template, at=calendar.moment(at_d)), at_d)
            for at_d in _evenings(one, last_evening)
            if at_d - last_d >= again_d
        ]
    later = [showable(ready.known, reading) for reading, _ in found]
    members = witnesses(one.course, one.fitted, calendar, one.forecast.seed)
    by_member = chances_by_member(ready.known, one.readings, later, members) if later else []
    return _Tests(
        tuple(reading for reading, _ in found),
        tuple(at_d for _, at_d in found),
        tuple(each[:-1] / each[:-1].sum(axis=0) for each in by_member),
    )


def _evenings(one: Made, last: int) -> list[float]:
    """Evenings to come within the horizon; now, where the first has just passed. [d]"""
    ready, found = one.ready, []
    for day in range(ready.today, ready.today + last + 1):
        begin, end = ready.calendar.bounds_d(day)
        evening = begin + EVENING_SHARE * (end - begin)
        if day == ready.today and evening < ready.scope.as_of_d <= evening + LATE_D:
            evening = ready.scope.as_of_d
        if ready.scope.as_of_d <= evening <= ready.scope.horizon_d:
            found.append(evening)
    return found


def test_templates(tank: Tank, used: Sequence[Reading], calendar: Calendar) -> list[Reading]:
    """One reading of each kit and quantity that can be tested; the last of the log counts."""
    found: dict[tuple[str | None, str], Reading] = {}
    for kit in tank.kits.values():
        for scale in kit.scales:
            if _testable(scale.quantity):
                blank = _blank(scale.quantity, scale.basis, kit.name, calendar)
                found[kit.name, scale.quantity] = blank
    for reading in used:
        if _testable(reading.quantity) and not reading.of_source_water:
            basis = reading.value.basis
            found[reading.kit, reading.quantity] = _blank(
                reading.quantity, basis, reading.kit, calendar
            )
    return list(found.values()) or [_blank(q, "unknown", None, calendar) for q in USUAL]


def _testable(quantity: str) -> bool:
    return quantity in MODELLED and quantity not in UNTAUGHT


def _blank(quantity: str, basis: str, kit: str | None, calendar: Calendar) -> Reading:
    value = ReadingValue("exact", 0.0, 0.0, basis if quantity in NITROGEN else "none")
    return Reading(calendar.moment(0.0), quantity, value, kit=kit)


def _same(one: Reading, other: Reading) -> bool:
    alike = (one.kit, one.quantity) == (other.kit, other.quantity)
    return alike and not one.of_source_water
