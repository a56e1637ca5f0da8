"""Nitrogen ledgers and colonies as JSON documents, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import datetime
from typing import Any

from watervane.exchange.figures import short
from watervane.records import (
    LOCAL_OWNER,
    QUANTILE_KEYS,
    Band,
    Colonies,
    Colony,
    ColonyLoss,
    ColonyPart,
    Diagnostics,
    Finding,
    LedgerStretch,
    NitrogenAmount,
    NitrogenLedger,
    NumberQuantiles,
    SettledLevels,
)

LEDGER_FORMAT = "watervane-ledger/1"
COLONIES_FORMAT = "watervane-colonies/1"
_LEFT_OUT = ("owner", "findings")


def ledger_document(ledger: NitrogenLedger) -> dict[str, Any]:
    """The document as plain dictionaries and lists; amounts in mg of nitrogen, means add up."""
    return _document(LEDGER_FORMAT, ledger)


def colonies_document(colonies: Colonies) -> dict[str, Any]:
    """The document as plain dictionaries and lists; capacities and loads in mg N/d."""
    return _document(COLONIES_FORMAT, colonies)


def ledger_from(told: Mapping[str, Any]) -> NitrogenLedger:
    """A ledger from its document; assumptions are not read back.

    Raises
    ------
    KeyError, TypeError, ValueError
        If it is no such document.
    """
    _check(told, LEDGER_FORMAT)
    return NitrogenLedger(
        **_common(told),
        stretches=tuple(
            LedgerStretch(
                key=str(one["key"]),
                begins=datetime.fromisoformat(one["begins"]),
                ends=datetime.fromisoformat(one["ends"]),
                began=_amounts(one["began"]),
                came=_amounts(one["came"]),
                held=_amounts(one["held"]),
                went=_amounts(one["went"]),
                most_unaccounted=float(one["most_unaccounted"]),
            )
            for one in told["stretches"]
        ),
    )


def colonies_from(told: Mapping[str, Any]) -> Colonies:
    """Colonies from their document; assumptions are not read back.

    Raises
    ------
    KeyError, TypeError, ValueError
        If it is no such document.
    """
    _check(told, COLONIES_FORMAT)
    return Colonies(
        **_common(told),
        temperature_c=_quantiles(told["temperature_c"]),
        ph=_quantiles(told["ph"]),
        oxygen_mg_per_l=_quantiles(told["oxygen_mg_per_l"]),
        levels=SettledLevels(**told["levels"]),
        mg_n_per_g_food=float(told["mg_n_per_g_food"]),
        times=tuple(map(datetime.fromisoformat, told["times"])),
        guilds={name: _colony(one) for name, one in told["guilds"].items()},
    )


def _document(name: str, told: NitrogenLedger | Colonies) -> dict[str, Any]:
    body: dict[str, Any] = _plain(told)
    keys = [finding.key for finding in (*told.findings, *told.diagnostics.findings)]
    return {"format": name, **body, "findings": keys}


def _plain(value: Any) -> Any:
    if isinstance(value, float):
        return short(value)
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if is_dataclass(value) and not isinstance(value, type):
        names = (f.name for f in fields(value) if f.name not in _LEFT_OUT)
        return {name: _plain(getattr(value, name)) for name in names}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    return value


def _check(told: Mapping[str, Any], name: str) -> None:
    if told["format"] != name:
        raise ValueError(f"its format is not {name}")


def _common(told: Mapping[str, Any]) -> dict[str, Any]:
    """What both documents begin with and end on."""
    names = (f.name for f in fields(Diagnostics) if f.name != "findings")
    findings = tuple(Finding(str(key), "info") for key in told["findings"])
    return {
        "tank": str(told["tank"]),
        "owner": LOCAL_OWNER,
        "as_of": datetime.fromisoformat(told["as_of"]),
        "seed": int(told["seed"]),
        "volume_l": float(told["volume_l"]),
        "diagnostics": Diagnostics(**{name: told["diagnostics"][name] for name in names}),
        "findings": findings,
    }


def _quantiles(told: Mapping[str, Any]) -> NumberQuantiles:
    return NumberQuantiles(*(told[key] for key in QUANTILE_KEYS))


def _amounts(told: Mapping[str, Any]) -> dict[str, NitrogenAmount]:
    return {
        line: NitrogenAmount(float(one["mean_mg_n"]), _quantiles(one["spread_mg_n"]))
        for line, one in told.items()
    }


def _bands(told: Mapping[str, Any]) -> dict[str, Band]:
    return {
        part: Band(*(tuple(map(float, band[key])) for key in QUANTILE_KEYS))
        for part, band in told.items()
    }


def _colony(told: Mapping[str, Any]) -> Colony:
    return Colony(
        parts={
            part: ColonyPart(
                *(_quantiles(one[name]) for name in ("capacity", "held", "load", "living_share"))
            )
            for part, one in told["parts"].items()
        },
        capacity=_bands(told["capacity"]),
        held=_bands(told["held"]),
        load=_bands(told["load"]),
        awake=_quantiles(told["awake"]),
        losses={
            loss: ColonyLoss(_quantiles(one["taken"]), float(one["chance_enough"]))
            for loss, one in told["losses"].items()
        },
        chance_enough=float(told["chance_enough"]),
    )
