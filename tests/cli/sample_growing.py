"""Invented answers about growing, for tests of what is printed."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any

from watervane.app import BadInput, ChallengeRequest, FillRequest, GrowingPorts, HeadroomRequest
from watervane.exchange.headroom_json import (
    challenge_document,
    filling_document,
    headroom_document,
)
from watervane.records import (
    Addition,
    AllowedRisk,
    Answer,
    Challenge,
    ChallengeReading,
    DatedRoom,
    Diagnostics,
    Filling,
    Finding,
    Headroom,
    LeftOver,
    Newcomers,
    NumberQuantiles,
    OtherRisk,
    ReadingValue,
    Span,
    TierRoom,
    Wish,
)

AS_OF = datetime(2026, 4, 20, 20, tzinfo=UTC)


def _quantiles(middle: float) -> NumberQuantiles:
    return NumberQuantiles(*(middle * f for f in (0.2, 0.6, 1.0, 1.4, 2.0)))


def _room(tier: str, food: float, planned: float = 0.0) -> TierRoom:
    allowed = AllowedRisk().of(tier)
    return TierRoom(
        tier=tier,
        allowed=allowed,
        planned_risk=planned,
        food_g_per_d=food,
        least_g_per_d=0.8 * food,
        most_g_per_d=1.2 * food,
        members=_quantiles(3.0 * food),
        subject="nitrate" if tier == "comfort" else "oxygen",
        limit=f"oxygen_{tier}",
        animals=("Danio rerio",),
        source="keeper",
        count=int(food / 0.014),
    )


def _dated(weeks: int, scale: float, *, broken: bool) -> DatedRoom:
    comfort = _room("comfort", 0.0 if broken else 0.05 * scale, 0.31 if broken else 0.02)
    return DatedRoom(
        weeks_ahead=weeks,
        begins=datetime(2026, 4, 21 + weeks, tzinfo=UTC),
        tiers={
            "acute": _room("acute", 0.07 * scale),
            "chronic": _room("chronic", 0.15 * scale),
            "comfort": comfort,
        },
        tried_g_per_d=0.6,
        elsewhere=(
            OtherRisk("comfort", "hardness", "hardness_comfort", ("Danio rerio",), "keeper", 0.9),
        )
        if broken
        else (),
    )


def sample_headroom(*, broken: bool = False, diagnostics: Diagnostics) -> Headroom:
    """Room for three danios now, seven in a week."""
    return Headroom(
        tank="Reading room",
        owner="local",
        as_of=AS_OF,
        seed=1,
        allowed=AllowedRisk(),
        newcomers=Newcomers("Danio rerio", 4.0, 0.62, Span(0.0095, 0.0206), named=True),
        planned_g_per_d=0.2,
        dates=(_dated(0, 1.0, broken=broken), _dated(1, 2.0, broken=broken)),
        findings=(),
        diagnostics=diagnostics,
    )


def sample_challenge(diagnostics: Diagnostics) -> Challenge:
    """A dose of 1 mg N/L whose ammonia reading tells much and whose nitrite reading nothing."""

    def reading(quantity: str, narrowing: float) -> ChallengeReading:
        answers = tuple(
            Answer(ReadingValue("exact", low, low, "n"), chance, _quantiles(carried))
            for low, chance, carried in ((0.0, 0.2, 0.3), (0.4, 0.795, 0.1), (3.2, 0.005, 0.05))
        )
        return ChallengeReading(quantity, "drops", _quantiles(0.12), narrowing, answers)

    return Challenge(
        tank="Shelf",
        owner="local",
        as_of=AS_OF,
        seed=1,
        substance="ammonium chloride",
        dose_mg_n_per_l=1.0,
        dose_g=Span(0.153, 0.158),
        chosen=True,
        dose_at=AS_OF.replace(day=21, hour=8),
        read_at=AS_OF.replace(day=22, hour=8),
        carries_g_per_d=_quantiles(0.1),
        normal_g_per_d=0.12,
        gone_chance=0.27,
        readings=(reading("ammonia", 0.7), reading("nitrite", 0.99)),
        findings=(),
        diagnostics=diagnostics,
    )


def sample_filling(wishes: tuple[Wish, ...], diagnostics: Diagnostics) -> Filling:
    """The first wish fits, half of the last does not."""
    risks = {"acute": 0.004, "chronic": 0.04, "comfort": 0.136}
    additions = tuple(
        Addition(w.species, w.count, w.length_cm, date(2026, 4, 21), date(2026, 5, 19), 0.08, risks)
        for w in wishes[:1]
    )
    left = tuple(
        LeftOver(w.species, w.count, "chronic", "nitrate", "nitrate_chronic", 0.084, 0.02)
        for w in wishes[1:]
    )
    return Filling(
        tank="Reading room",
        owner="local",
        as_of=AS_OF,
        seed=1,
        allowed=AllowedRisk(),
        horizon_days=182,
        quarantine_days=28,
        wishes=wishes,
        additions=additions,
        left=left,
        elsewhere=(),
        finish=None if left else date(2026, 5, 19),
        as_written_finish=None,
        orders=2,
        searched_on=250,
        findings=(),
        diagnostics=diagnostics,
    )


@dataclass
class FakeGrowing:
    """Ports that hand out the invented answers and note what was asked."""

    broken: bool = False
    refused: str | None = None
    asked: list[Any] = field(default_factory=list)

    def ports(self) -> GrowingPorts:
        return GrowingPorts(
            headroom=self._headroom,
            challenge=self._challenge,
            fill=self._fill,
            headroom_document=headroom_document,
            challenge_document=challenge_document,
            filling_document=filling_document,
        )

    def _headroom(self, tank: Any, request: HeadroomRequest, *_: Any) -> Headroom:
        self.asked.append(request)
        return sample_headroom(broken=self.broken, diagnostics=_diagnostics())

    def _challenge(self, tank: Any, request: ChallengeRequest, *_: Any) -> Challenge:
        self.asked.append(request)
        if self.refused is not None:
            told = {"count": 3, "species": "Danio rerio"}
            raise BadInput([Finding(self.refused, "problem", told)])
        return sample_challenge(_diagnostics())

    def _fill(self, tank: Any, request: FillRequest, *_: Any) -> Filling:
        self.asked.append(request)
        return sample_filling(request.wishes, _diagnostics())


def _diagnostics() -> Diagnostics:
    from sample_forecasts import sample_forecast

    return sample_forecast(day=11.0).diagnostics
