"""What steps are for, in half a line."""

from __future__ import annotations

from watervane.records import Today
from watervane.wording.amounts import out_of_twenty
from watervane.wording.templates import phrase
from watervane.wording.today import TIERS, WORTH_TELLING, shortened


def step_reason(today: Today) -> str:
    """Half a line on why there are steps: what they lessen of the likeliest of the gravest harm.

    Empty where there are none, or where nothing is lessened by much.
    """
    planned, chosen = today.planned, today.chosen
    if planned is None or chosen is None or not chosen.acts:
        return ""
    for tier in TIERS:
        if planned.chances[tier] <= today.allowed.of(tier):
            continue
        before = {
            key.partition("/")[2]: (chance, chosen.by_subject.get(key, 0.0))
            for key, chance in planned.by_subject.items()
            if key.startswith(f"{tier}/")
        }
        nothing = ("", (0.0, 0.0))
        gravest = max(before.items(), key=lambda each: each[1][0], default=nothing)
        subject, (now, then) = gravest
        if now - then < WORTH_TELLING:  # it is likely either way: what is won there is time
            won = shortened(today)
            if won:
                return won[0]
            subject, (now, then) = max(
                before.items(), key=lambda each: each[1][0] - each[1][1], default=nothing
            )
        if now - then >= WORTH_TELLING:
            name = phrase(f"limit-subject-{subject.replace('_', '-')}")
            told = {"subject": f"{name[:1].lower()}{name[1:]}", "tier": phrase(f"tier-{tier}")}
            chances = {"before": out_of_twenty(now), "after": out_of_twenty(then)}
            return phrase("steps-reason", **told, **chances)
    return ""
