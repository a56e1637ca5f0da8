"""An invented ledger whose books close, and invented colonies, the nitrite eaters still few."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sample_forecasts import sample_forecast

from watervane.app.inside_ports import InsidePorts, InsideRequest
from watervane.bootstrap_inside import inside_ports
from watervane.exchange.inside_json import colonies_document, ledger_document
from watervane.records import (
    Band,
    Colonies,
    Colony,
    ColonyLoss,
    ColonyPart,
    LedgerStretch,
    NitrogenAmount,
    NitrogenLedger,
    NumberQuantiles,
    SettledLevels,
)
from watervane.records.colonies import HABITATS, LOSSES, WHOLE
from watervane.records.ledger import CAME, HELD, WENT

AS_OF = datetime(2026, 3, 24, 19, tzinfo=ZoneInfo("Europe/Lisbon"))
WEEK = timedelta(days=7)
DAYS = 31


def about(middle: float) -> NumberQuantiles:
    """Quantiles about a number."""
    return NumberQuantiles(*(middle * share for share in (0.6, 0.8, 1.0, 1.2, 1.5)))


def _lines(order: tuple[str, ...], told: Mapping[str, float]) -> dict[str, NitrogenAmount]:
    return {line: NitrogenAmount(told.get(line, 0.0), about(told.get(line, 0.0))) for line in order}


NOW = {"food-and-waste": 21.0, "ammonia": 2.0, "nitrite": 90.0, "nitrate": 57.0, "plants": 150.0}
NOW |= {"animals": 140.0, "colonies": 1.0}


def sample_ledger() -> NitrogenLedger:
    """Since filling: 101 + 510 = 150 + 461; ahead: 461 + 80 = 2 + 539."""
    came = {"food": 243.0, "tap-nitrate": 122.0, "tap-chloramine": 32.0, "animals": 113.0}
    later = {**NOW, "nitrite": 120.0, "nitrate": 105.0}
    return NitrogenLedger(
        tank="Reading room",
        owner="local",
        as_of=AS_OF,
        seed=1,
        volume_l=52.0,
        stretches=(
            LedgerStretch(
                "since-filling",
                datetime(2026, 3, 1, tzinfo=AS_OF.tzinfo),
                AS_OF,
                _lines(HELD, {"plants": 101.0}),
                _lines(CAME, came),
                _lines(HELD, NOW),
                _lines(WENT, {"drained": 138.0, "gas": 12.0}),
                1e-15,
            ),
            LedgerStretch(
                "next-week",
                AS_OF,
                AS_OF + WEEK,
                _lines(HELD, NOW),
                _lines(CAME, {"food": 80.0}),
                _lines(HELD, later),
                _lines(WENT, {"gas": 2.0}),
                1e-15,
            ),
        ),
        diagnostics=sample_forecast(day=11.0).diagnostics,
    )


def _band(first: float, last: float) -> Band:
    steps = [first + (last - first) * day / (DAYS - 1) for day in range(DAYS)]
    return Band(*(tuple(share * step for step in steps) for share in (0.6, 0.8, 1.0, 1.2, 1.5)))


def _colony(now: float, later: float, load: float, chance: float) -> Colony:
    parts = {"bed": 0.6, "filter": 0.2, "surface": 0.2, WHOLE: 1.0}
    taken = dict(zip(LOSSES, (0.03, 0.1, 0.2), strict=True))
    return Colony(
        parts={
            part: ColonyPart(
                about(now * share),
                about(0.4 * now * share),
                about(load * share),
                NumberQuantiles(*[share] * 5),
            )
            for part, share in parts.items()
        },
        capacity={part: _band(now * share, later * share) for part, share in parts.items()},
        held={part: _band(0.4 * now * share, 0.4 * later * share) for part, share in parts.items()},
        load={part: _band(load * share, load * share) for part, share in parts.items()},
        awake=NumberQuantiles(*[0.95] * 5),
        losses={
            loss: ColonyLoss(about(share), max(chance - share, 0.0))
            for loss, share in taken.items()
        },
        chance_enough=chance,
    )


def sample_colonies(nitrite_chance: float = 0.1) -> Colonies:
    """Ammonia eaters with room, nitrite eaters that carry their load in one of ten tanks."""
    assert set(HABITATS) == {"bed", "filter", "surface"}
    return Colonies(
        tank="Reading room",
        owner="local",
        as_of=AS_OF,
        seed=1,
        volume_l=52.0,
        temperature_c=NumberQuantiles(*[25.0] * 5),
        ph=NumberQuantiles(*[7.9] * 5),
        oxygen_mg_per_l=NumberQuantiles(*[8.1] * 5),
        levels=SettledLevels(),
        mg_n_per_g_food=67.2,
        times=tuple(AS_OF + timedelta(days=day) for day in range(DAYS)),
        guilds={
            "ammonia": _colony(68.0, 107.0, 9.6, 0.99),
            "nitrite": _colony(0.5, 105.0, 10.0, nitrite_chance),
        },
        diagnostics=sample_forecast(day=11.0).diagnostics,
    )


@dataclass
class FakeInside:
    """Ports that hand out the invented answers and note what was asked."""

    asked: list[Any] = field(default_factory=list)
    colonies: Colonies = field(default_factory=sample_colonies)

    def ports(self) -> InsidePorts:
        real = inside_ports()
        return InsidePorts(
            ledger=self._ledger,
            colonies=self._colonies,
            ledger_document=ledger_document,
            colonies_document=colonies_document,
            write_ledger_picture=real.write_ledger_picture,
            write_colonies_picture=real.write_colonies_picture,
        )

    def _ledger(self, tank: Any, request: InsideRequest, *_: Any) -> NitrogenLedger:
        self.asked.append(request)
        return sample_ledger()

    def _colonies(self, tank: Any, request: InsideRequest, *_: Any) -> Colonies:
        self.asked.append(request)
        return self.colonies
