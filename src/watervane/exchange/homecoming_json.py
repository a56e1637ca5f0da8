"""A homecoming as one JSON document, ``watervane-homecoming/1``."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from watervane.records import QUANTILE_KEYS, Homecoming, NumberQuantiles

HOMECOMING_FORMAT = "watervane-homecoming/1"
DIGITS = 6


def homecoming_document(home: Homecoming) -> dict[str, Any]:
    """The document as plain dictionaries and lists."""
    return {
        "format": HOMECOMING_FORMAT,
        "tank": home.tank,
        "trip": asdict(home.trip),
        "arriving": {name: _quantiles(told) for name, told in home.arriving.items()},
        "dripping": {
            "minutes": home.drip_minutes,
            "highest_free_ammonia_mg_n_per_l": _quantiles(home.dripping),
        },
        "chances": {name: round(chance, DIGITS) for name, chance in home.chances.items()},
        "advice": [
            {"key": finding.key, "arguments": dict(finding.arguments)} for finding in home.advice
        ],
    }


def _quantiles(told: NumberQuantiles) -> dict[str, float | None]:
    values = {key: getattr(told, key) for key in QUANTILE_KEYS}
    return {key: None if v is None else float(f"{v:.{DIGITS}g}") for key, v in values.items()}
