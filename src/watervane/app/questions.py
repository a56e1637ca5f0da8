"""Ask about a tank what somebody waits for: its limits, a way home for animals, another plan."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from watervane.app.ports import Ports
from watervane.records import Person, Trip
from watervane.records.other_plans import OtherPlan
from watervane.records.questions import HOMECOMING, LIMITS, REHEARSAL, Answer, Question

WAIT_S = 1.5  # that a page may wait before it shows how far the answer is


def ask_limits(
    actor: Person, key: str, ports: Ports, window: str, wait_s: float = WAIT_S
) -> Answer:
    """Every limit that holds for those in a tank and those planned."""
    return ports.jobs.ask(_about(actor, key, LIMITS, ports), window=window, wait_s=wait_s)


def ask_homecoming(
    actor: Person, key: str, trip: Trip, ports: Ports, window: str, wait_s: float = WAIT_S
) -> Answer:
    """What a bag's water becomes, and the way into a tank."""
    question = _about(actor, key, HOMECOMING, ports, trip=trip)
    return ports.jobs.ask(question, window=window, wait_s=wait_s)


def ask_rehearsal(
    actor: Person, key: str, plan: OtherPlan, ports: Ports, window: str, wait_s: float = WAIT_S
) -> Answer:
    """A tank under another plan, beside the plan it has."""
    question = _about(actor, key, REHEARSAL, ports, plan=plan)
    return ports.jobs.ask(question, window=window, wait_s=wait_s)


def _about(
    actor: Person,
    key: str,
    kind: str,
    ports: Ports,
    trip: Trip | None = None,
    plan: OtherPlan | None = None,
) -> Question:
    """A question of the tank as it is now.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    now = ports.journal.now()
    with ports.journal.open() as journal, journal.looking(actor) as view:
        zone = ZoneInfo(view.description(key).time_zone)
        newest = view.newest_entry(key)
    return Question(kind, actor.name, key, newest, now.astimezone(zone).date(), trip, plan)
