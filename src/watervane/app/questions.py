"""Ask about a tank what somebody waits for: its limits, a way home for animals, another plan."""

from __future__ import annotations

from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from watervane.app.ports import Ports
from watervane.records import Person, Trip
from watervane.records.other_plans import OtherPlan
from watervane.records.questions import HOMECOMING, LIMITS, REHEARSAL, Answer, KeptAnswer, Question
from watervane.records.resettling import ColonyMove

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
    actor: Person,
    key: str,
    plan: OtherPlan,
    ports: Ports,
    window: str,
    wait_s: float = WAIT_S,
    *,
    first_look: bool = False,
) -> Answer:
    """A tank under another plan, beside the plan it has; a first look is there sooner."""
    question = _about(actor, key, REHEARSAL, ports, plan=plan)
    question = replace(question, first_look=first_look)
    return ports.jobs.ask(question, window=window, wait_s=wait_s)


@dataclass(frozen=True, slots=True)
class LongAnswer:
    """What a question that takes long came to last, and what is being worked out.

    ``answer`` is that of the question of now: open, refused, or nothing where it was not asked.
    ``current`` tells that nothing was written and no day has passed since the last one.
    ``running`` is what is being worked out, whatever it was asked of, and how far that is.
    """

    kept: KeptAnswer | None
    answer: Answer
    current: bool
    running: tuple[Question, Answer] | None = None


def ask_long(
    actor: Person,
    key: str,
    kind: str,
    ports: Ports,
    species: str | None = None,
    length_cm: float | None = None,
    move: ColonyMove | None = None,
) -> Answer:
    """Have what takes long worked out; nobody waits for it."""
    question = _about(actor, key, kind, ports, species=species, length_cm=length_cm, move=move)
    return ports.jobs.ask(question, window=f"{kind} {key}", wait_s=0.0)


def look_at_long(
    actor: Person,
    key: str,
    kind: str,
    ports: Ports,
    species: str | None = None,
    length_cm: float | None = None,
    move: ColonyMove | None = None,
) -> LongAnswer:
    """What is known of what takes long without asking anybody to work it out."""
    question = _about(actor, key, kind, ports, species=species, length_cm=length_cm, move=move)
    kept = ports.jobs.ask.kept(kind, actor.name, key)
    told = None if kept is None else (kept.question.newest_entry, kept.question.day)
    same = told == (question.newest_entry, question.day)
    running = ports.jobs.ask.running(kind, actor.name, key)
    return LongAnswer(kept, ports.jobs.ask.known(question), same, running)


def stop_long(actor: Person, key: str, kind: str, ports: Ports) -> None:
    """Nobody waits any more for what takes long about a tank.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    _about(actor, key, kind, ports)
    ports.jobs.ask.stop(kind, actor.name, key)


def _about(
    actor: Person,
    key: str,
    kind: str,
    ports: Ports,
    trip: Trip | None = None,
    plan: OtherPlan | None = None,
    species: str | None = None,
    length_cm: float | None = None,
    move: ColonyMove | None = None,
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
    day = now.astimezone(zone).date()
    return Question(kind, actor.name, key, newest, day, trip, plan, species, length_cm, move)
