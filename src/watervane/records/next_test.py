"""The test that would teach most about a question."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class TellingTest:
    """One test that could be taken, and how much it is expected to tell.

    ``gain_bits`` is the expected fall of the question's entropy, ``gain_error_bits`` one standard
    error of it.
    """

    at: datetime
    quantity: str
    kit: str | None
    gain_bits: float
    gain_error_bits: float


@dataclass(frozen=True, slots=True)
class NextTest:
    """What is open of a question, and the test that would teach most about it.

    ``question`` is ``settled`` or ``danger``; of *danger* ``limit`` is the key of the level in
    question. ``open_bits`` is the question's entropy, 0 where nothing is open; ``chance_bits``
    what the best of these tests would seem to tell by chance alone. ``best`` is ``None`` where no
    test tells more; ``soonest`` is the most telling one of the first evening, where that is
    another. ``ranked`` holds the best evening of each quantity and kit. ``range_now_days`` and
    ``range_after_days`` are the 80 % range of the settled date before and, as expected, after the
    best test; ``wrong_now`` and ``wrong_after`` how often the likelier answer to *danger* is wrong.
    """

    question: str
    limit: str | None
    open_bits: float
    chance_bits: float
    best: TellingTest | None = None
    soonest: TellingTest | None = None
    ranked: tuple[TellingTest, ...] = ()
    range_now_days: float | None = None
    range_after_days: float | None = None
    wrong_now: float | None = None
    wrong_after: float | None = None
