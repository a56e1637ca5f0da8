"""A dose sheet in sentences and a table."""

from __future__ import annotations

from dataclasses import replace

from watervane.records import Finding
from watervane.records.doses import DoseSheet, HospitalLoad
from watervane.wording.amounts import listed, number, plain
from watervane.wording.templates import finding_text, phrase

SMALL = 1.0
LESS = ("dose-logged-salt", "dose-logged-enough")  # by the log less is missing than the label says
LOGGED = ("dose-logged", *LESS)  # told beside the amount, not among what to know


def dose_title(sheet: DoseSheet) -> str:
    """What is dosed into how much water."""
    key = "dose-title-bath" if sheet.wish.bath else "dose-title"
    name = sheet.wish.substance
    return phrase(key, name=name[:1].upper() + name[1:], litres=plain(sheet.wish.volume_l))


def dose_sentences(sheet: DoseSheet) -> list[str]:
    """How much, and what comes of it."""
    whole = {"amount": measured(sheet.amount, sheet.unit), "label": sheet.wish.rate.raw}
    logged = [each for each in sheet.findings if each.key in LOGGED]
    found = [finding_text(each) for each in logged]
    if any(each.key in LESS for each in logged):  # what is to be given stands first
        found.append(phrase("dose-amount-whole", **whole))
    else:
        found.insert(0, phrase("dose-amount", **whole))
    if sheet.drops is not None:
        ends = (number(sheet.drops.low, 2), number(sheet.drops.high, 2))
        found.append(phrase("dose-drops", low=ends[0], high=ends[1]))
    if sheet.wish.removed:
        told = {
            "removed": _share(sheet.removed_share),
            "amount": measured(sheet.top_up, sheet.unit),
        }
        found.append(phrase("dose-top-up", **told))
    if sheet.endless is not None:
        found.append(phrase("dose-endless", peak=number(sheet.endless)))
    if sheet.brings:
        parts = [
            phrase(f"dose-brings-{name.replace('_', '-')}", amount=number(value))
            for name, value in sheet.brings.items()
        ]
        found.append(phrase("dose-brings", parts=listed(parts)))
    if sheet.kept_share is not None:
        ends = (_share(1.0 - sheet.kept_share.high), _share(1.0 - sheet.kept_share.low))
        found.append(phrase("dose-kept", low=ends[0], high=ends[1]))
    return found + (_hospital(sheet.hospital) if sheet.hospital is not None else [])


def dose_remarks(sheet: DoseSheet) -> list[str]:
    """What to know besides."""
    kept = (each for each in sheet.findings if each.key not in LOGGED)
    return [finding_text(_as_kits_tell(each)) for each in kept]


def _as_kits_tell(finding: Finding) -> Finding:
    """PH no finer than a kit shows it."""
    told = finding.arguments
    ends = {n: f"{v:.1f}" for n in ("ph", "after") if isinstance(v := told.get(n), float)}
    return replace(finding, arguments={**told, **ends}) if ends else finding


def course_rows(sheet: DoseSheet) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Headers and rows of the course."""
    headers = tuple(phrase(f"dose-course-headers-{name}") for name in ("day", "before", "after"))
    rows = tuple(
        (f"{each.day:g}", f"{each.before:.2f}", f"{each.after:.2f}") for each in sheet.course
    )
    return headers, rows


def measured(amount: float, unit: str) -> str:
    """An amount as a syringe or a scale tells it."""
    if unit == "g" and amount < SMALL:
        return f"{plain(1000.0 * amount)} mg"
    if unit == "drops":
        return f"{number(amount, 2)} drops"
    return f"{plain(amount)} {unit}"


def _share(share: float) -> str:
    return f"{number(100.0 * share, 2)} %"


def _hospital(load: HospitalLoad) -> list[str]:
    rise, hours, change = load.rise_mg_n_per_l_d, load.hours_to_level, load.share_per_d
    words = {"low": number(rise.low), "high": number(rise.high)}
    words |= {"level": number(load.level_mg_n_per_l, 1)}
    words |= {"first": number(hours.low), "last": number(hours.high)}
    found = [phrase("dose-hospital", **words)]
    found.append(phrase("dose-hospital-change", low=_share(change.low), high=_share(change.high)))
    if change.high >= 1.0:
        found.append(phrase("dose-hospital-too-much"))
    return found
