"""Another plan as it is moved and typed, and the fields of its form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from watervane.records import Finding, Mishap
from watervane.records.mishap_sizes import MISHAP_SIZES
from watervane.records.other_plans import DatedMishap, OtherPlan
from watervane.web.forms.numbers import Typed
from watervane.wording import finding_line, phrase

ROWS = 2  # things that happen on days
PERCENT = 100.0
FOOD_MOST, CHANGE_MOST, EVERY_MOST, DAY_MOST = 400, 90, 28, 20
WHOLE_TANK = "larger-tank"  # another tank altogether: not beside other changes
KINDS = tuple(kind for kind in MISHAP_SIZES if kind != WHOLE_TANK)
SLID_TIMES = 5  # a slider goes to so many times the usual size


@dataclass(frozen=True, slots=True)
class Slider:
    """A number that can be slid, typed, or both."""

    name: str
    label: str
    value: str
    unit: str
    least: float
    most: float
    step: float
    wrong: tuple[str, ...] = ()
    unseen: str = ""


@dataclass(frozen=True, slots=True)
class KindOption:
    """A kind of mishap to choose, with its sizes."""

    value: str
    text: str
    unit: str
    least: float
    most: float
    usual: float


@dataclass(frozen=True, slots=True)
class MishapRow:
    """One thing that happens on a day."""

    number: int
    what: str
    size: Slider
    day: Slider
    wrong: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlanForm:
    """The whole form."""

    food: Slider
    changes_as_planned: bool
    change: Slider
    every: Slider
    rows: tuple[MishapRow, ...]
    kinds: tuple[KindOption, ...]

    @property
    def fields(self) -> tuple[Slider, ...]:
        """Those that may be wrong, for the list above the form."""
        rows = [each for row in self.rows for each in (row.size, row.day)]
        return (self.food, self.change, self.every, *rows)


def plan_typed(typed: Mapping[str, str]) -> tuple[OtherPlan, Mapping[str, Sequence[Finding]]]:
    """The plan, and what is wrong with what was typed."""
    told = Typed(typed)
    food = told.number("food", 0, FOOD_MOST, PERCENT) or 0.0
    share = told.number("change", 0, CHANGE_MOST, 25.0) or 0.0
    every = told.whole("every", 1, EVERY_MOST, 7)
    own = "food" in told.typed and not told.typed.get("as-planned")
    mishaps = [_mishap(told, row) for row in range(1, ROWS + 1)]
    plan = OtherPlan(
        food_times=food / PERCENT,
        change_fraction=share / PERCENT if own else None,
        change_every_days=every if own else 7,
        mishaps=tuple(each for each in mishaps if each is not None),
    )
    return plan, told.wrong


def _mishap(told: Typed, row: int) -> DatedMishap | None:
    kind = told.choice(f"what-{row}", ("none", *KINDS), "none")
    day = told.whole(f"day-{row}", 1, DAY_MOST, 1)
    if kind == "none":
        return None
    sizes = MISHAP_SIZES[kind]
    size = told.number(f"size-{row}", sizes.least, sizes.most, sizes.usual)
    return DatedMishap(Mishap(kind, sizes.usual if size is None else size), day)


def plan_form(typed: Mapping[str, str], wrong: Mapping[str, Sequence[Finding]]) -> PlanForm:
    """The form as it was sent, each field with what is wrong with it."""

    def slider(
        name: str, usual: str, unit: str, span: tuple[float, float, float], label: str = ""
    ) -> Slider:
        return Slider(
            name,
            label or phrase(f"plan-{name}"),
            typed.get(name, "") or usual,
            unit,
            *span,
            tuple(finding_line(each) for each in wrong.get(name, ())),
        )

    def row(number: int) -> MishapRow:
        told = typed.get(f"what-{number}", "none")
        kind = told if told in KINDS else "none"
        sizes = MISHAP_SIZES.get(kind)
        usual = "" if sizes is None else f"{sizes.usual:g}"
        unit, span = ("", (0.0, 1.0, 1.0)) if sizes is None else (unit_of(kind), span_of(kind))
        days = phrase("plan-unit-d")
        return MishapRow(
            number,
            kind,
            slider(f"size-{number}", usual, unit, span, phrase("plan-size")),
            slider(f"day-{number}", "1", days, (1, DAY_MOST, 1), phrase("plan-day")),
            tuple(finding_line(each) for each in wrong.get(f"what-{number}", ())),
        )

    return PlanForm(
        slider("food", "100", phrase("plan-food-unit"), (0, 300, 5)),
        "food" not in typed or bool(typed.get("as-planned")),
        slider("change", "25", phrase("plan-change-unit"), (0, 80, 5)),
        slider("every", "7", phrase("plan-every-unit"), (1, 14, 1)),
        tuple(row(number) for number in range(1, ROWS + 1)),
        tuple(
            KindOption(
                kind,
                phrase(f"plan-kind-{kind}"),
                unit_of(kind),
                MISHAP_SIZES[kind].least,
                MISHAP_SIZES[kind].most,
                MISHAP_SIZES[kind].usual,
            )
            for kind in KINDS
        ),
    )


def unit_of(kind: str) -> str:
    """The unit of its size, in words."""
    unit = MISHAP_SIZES[kind].unit
    return phrase(f"plan-unit-{unit}") if unit else ""


def span_of(kind: str) -> tuple[float, float, float]:
    """From where to where a slider of its size goes, and its steps."""
    sizes = MISHAP_SIZES[kind]
    most = min(sizes.most, SLID_TIMES * sizes.usual)
    return sizes.least, most, min(1.0, sizes.least)
