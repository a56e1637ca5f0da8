"""What is a keeper's own at a tank: kits and their steps, settled levels, limits, accepted risk."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence

from watervane.records import AllowedRisk, Forecast, SettledLevels, Tank
from watervane.web.forms.fields import Field, Option, asked, options
from watervane.web.forms.readings import FIRST, LATER, UNITS
from watervane.wording import phrase
from watervane.wording.amounts import percent
from watervane.wording.in_units import asked_unit
from watervane.wording.kit_steps import WITH_BASES, quantity_title
from watervane.wording.watched import watched

KIND = "own"
KIT_KINDS = ("drop", "strip", "photometer", "probe")
TIERS = ("acute", "chronic", "comfort")
BASES = ("unknown", "n", "ion")
ION = {"ammonia": " as NH4", "nitrite": " as NO2", "nitrate": " as NO3"}
OFFERED = 24  # limits to choose from: those of the last forecast
_BETWEEN = re.compile(r"[\s,;/|]+")
_DECIMAL = re.compile(r"(?<=\d),(?=\d)")
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
# What a limit's quantity is typed as.
_TYPED = {"alkalinity_meq_per_l": "dKH", "gh_dgh": "dGH", "temperature_c": "degC", "ph": ""}


def kit_fields(tank: Tank) -> tuple[Field, ...]:
    """One test of one kit."""
    known = {scale.quantity for kit in tank.kits.values() for scale in kit.scales}
    quantities = (*FIRST, *(each for each in LATER if each in known or each == "gh"))
    of = tuple(Option(each, quantity_title(each)) for each in quantities)
    hints = {name: phrase(f"form-own-{name}-hint") for name in ("kit", "steps", "basis")}
    return (
        asked(KIND, "quantity", "list", value=FIRST[0], options=of),
        asked(KIND, "kit", "text", hint=hints["kit"], value="drops", suggested=tuple(tank.kits)),
        asked(KIND, "kind", "pick", value="drop", options=options(KIND, "kind", KIT_KINDS)),
        asked(KIND, "steps", "text", hint=hints["steps"]),
        asked(KIND, "basis", "pick", hint=hints["basis"], value="unknown", options=_bases()),
    )


def kit_words(typed: Mapping[str, str]) -> list[str]:
    """A test as words for the description of its tank."""
    name = typed.get("kit", "").strip().replace(".", " ") or "drops"
    quantity = typed.get("quantity", "")
    quantity = quantity if quantity in (*FIRST, *LATER) else FIRST[0]
    kind = typed.get("kind", "")
    kind = kind if kind in KIT_KINDS else KIT_KINDS[0]
    unit = UNITS.get(quantity, "mg/L")
    if quantity in WITH_BASES:
        basis = {"n": " as N", "ion": ION[quantity]}.get(typed.get("basis", ""), "")
        unit = f"{unit}{basis}"
    else:
        unit = asked_unit(quantity, unit)
    steps = _steps(typed.get("steps", ""))
    if kind in ("photometer", "probe") and len(steps) <= 1:
        told = [f"resolution = {json.dumps(steps[0])}"] if steps else []
    else:
        told = [f"steps = {json.dumps(steps)}"]
    told += [f"unit = {json.dumps(unit)}"] if unit else []
    return [f"kits.{name}.kind={kind}", f"kits.{name}.{quantity}={{ {', '.join(told)} }}"]


def settled_fields(levels: SettledLevels) -> tuple[Field, ...]:
    """What ammonia and nitrite stay under in a settled tank."""
    return tuple(
        asked(KIND, f"settled-{each}", "text", value=f"{levels.of(each):g} mg/L as N", short=True)
        for each in ("ammonia", "nitrite")
    )


def settled_words(typed: Mapping[str, str]) -> list[str]:
    """Both levels; one left empty is the shipped one again."""
    told = {each: typed.get(f"settled-{each}", "").strip() for each in ("ammonia", "nitrite")}
    return [f"settled.{name}={_with_unit(text, 'mg/L as N')}" for name, text in told.items()]


def risk_fields(allowed: AllowedRisk) -> tuple[Field, ...]:
    """The chance of passing a limit that is accepted, tier by tier."""
    return tuple(
        asked(
            KIND,
            f"risk-{tier}",
            "text",
            value=percent(allowed.of(tier)),
            short=True,
            hint=phrase("form-own-risk-hint", usual=percent(AllowedRisk().of(tier))),
        )
        for tier in TIERS
    )


def risk_words(typed: Mapping[str, str]) -> list[str]:
    """All three chances, bare numbers in per cent; one left empty is the shipped one again."""
    told = {tier: typed.get(f"risk-{tier}", "").strip() for tier in TIERS}
    return [f"risk.{tier}={_with_unit(text, '%')}" for tier, text in told.items()]


def limit_fields(forecast: Forecast | None) -> tuple[Field, ...]:
    """One figure in place of a shipped one, of those the last forecast was held against."""
    offered = () if forecast is None else tuple(_limits(forecast))[:OFFERED]
    if not offered:
        return ()
    hint = phrase("form-own-level-hint")
    return (
        asked(KIND, "limit", "list", value=offered[0].value, options=offered),
        asked(KIND, "level", "text", hint=hint, short=True),
        asked(KIND, "why", "text"),
    )


def limit_words(typed: Mapping[str, str], forecast: Forecast | None) -> list[str]:
    """A limit's figure; an empty one takes the keeper's out again."""
    told = {} if forecast is None else forecast.limits
    key = typed.get("limit", "")
    if key not in told:
        return []
    level = typed.get("level", "").strip()
    if not level:
        return [f"limits.{key}="]
    quantity = told[key].quantity
    nitrogen = quantity.endswith("mg_n_per_l")
    unit = "mg/L as N" if nitrogen else _TYPED.get(quantity, "mg/L")
    parts = [f"level = {json.dumps(_with_unit(level, unit), ensure_ascii=False)}"]
    why = typed.get("why", "").strip()
    parts += [f"note = {json.dumps(why, ensure_ascii=False)}"] if why else []
    return [f"limits.{key}={{ {', '.join(parts)} }}"]


def _limits(forecast: Forecast) -> Sequence[Option]:
    found = []
    for key, told in forecast.limits.items():
        seen = watched(key, forecast.limits)
        if seen is not None:
            tier = phrase(f"form-own-tier-{told.tier}")
            found.append(Option(key, f"{seen.named} {seen.limit}: {tier}"))
    return sorted(found, key=lambda each: each.text)


def _bases() -> tuple[Option, ...]:
    return options(KIND, "basis", BASES)


def _steps(text: str) -> list[str]:
    """Numbers as printed; a comma between digits is a decimal one where blanks divide them."""
    if re.search(r"\d,\d", text) and re.search(r"\d\s", text) and ", " not in text:
        text = _DECIMAL.sub(".", text)
    return [part for part in _BETWEEN.split(text.strip()) if part]


def _with_unit(text: str, unit: str) -> str:
    return f"{text.replace(',', '.')} {unit}".strip() if _NUMBER.fullmatch(text) else text
