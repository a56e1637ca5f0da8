"""A homecoming as one JSON document, ``watervane-homecoming/1``."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from watervane.exchange.figures import DIGITS, quantiles
from watervane.records import Homecoming

HOMECOMING_FORMAT = "watervane-homecoming/1"


def homecoming_document(home: Homecoming) -> dict[str, Any]:
    """The document as plain dictionaries and lists."""
    return {
        "format": HOMECOMING_FORMAT,
        "tank": home.tank,
        "trip": asdict(home.trip),
        "arriving": {name: quantiles(told) for name, told in home.arriving.items()},
        "dripping": {
            "minutes": home.drip_minutes,
            "highest_free_ammonia_mg_n_per_l": quantiles(home.dripping),
        },
        "chances": {name: round(chance, DIGITS) for name, chance in home.chances.items()},
        "bears_free_ammonia_mg_n_per_l": home.bears_mg_n_per_l,
        "tank_water_from": dict(home.home_from),
        "gaps": [
            {
                "quantity": gap.quantity,
                "shop": quantiles(gap.shop),
                "tank": quantiles(gap.home),
                "untold": list(gap.untold),
                "strains": gap.strains,
                "harms": gap.harms,
            }
            for gap in home.gaps
        ],
        "advice": [
            {"key": finding.key, "arguments": dict(finding.arguments)} for finding in home.advice
        ],
    }
