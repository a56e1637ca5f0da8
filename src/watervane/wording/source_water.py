"""A source water in sentences: what it is, whom it suits, and how to mix another."""

from __future__ import annotations

from watervane.records import (
    AiredWater,
    BindingRange,
    Conditioned,
    PartOfMix,
    Recipe,
    SourcePlan,
    UnmetRange,
)
from watervane.wording.amounts import acidity, listed, number
from watervane.wording.choices import called
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

OF_UNTOLD = ("water-assumed", "water-worked-out")
MANY = 8  # animals that are named before the rest is counted
NO3_PER_N = 4.4268


def source_title(plan: SourcePlan) -> str:
    """Heading over all of it."""
    return phrase(
        "water-title" if plan.recipe is None else "water-title-mix", name=plan.report.name
    )


def source_lead(plan: SourcePlan) -> str:
    """The first sentence: how many kinds it suits as it is, and whether it can be mixed."""
    told = {"count": len(plan.suits), "all": len(plan.suits) + len(plan.suits_not)}
    if plan.recipe is None:
        return phrase("water-lead", **told)
    return phrase("water-lead-unmet" if plan.recipe.unmet else "water-lead-mix", **told)


def kinds_table(plan: SourcePlan) -> NumberTable:
    """Each kind of our tables, and what of this water is out of its range."""
    suited = [(_named(name), phrase("water-kind-suits")) for name in plan.suits]
    others = [
        (_named(name), listed([phrase(f"water-kind-{each}") for each in against]))
        for name, against in plan.suits_not.items()
    ]
    headers = (phrase("water-kind"), phrase("water-kind-fit"))
    caption = phrase("water-kinds-caption")
    return NumberTable(phrase("water-kinds"), caption, headers, tuple(sorted(suited + others)))


def _named(species: str) -> str:
    name = called(species)
    if name == species:
        return species
    return phrase("choose-both-names", name=name, scientific=species)


def source_sentences(plan: SourcePlan) -> list[str]:
    """What there is to know, first the advice."""
    told = [phrase("water-advice"), _as_it_is(plan), _suits(plan)]
    if plan.recipe is None:
        return [*told, _conditioner(plan.conditioned.assumed, _told(plan))]
    return [*told, *_recipe(plan.recipe)]


def source_tables(plan: SourcePlan) -> list[NumberTable]:
    """The waters side by side, and the recipe."""
    tables = [_waters(plan)]
    if plan.recipe is not None:
        tables.insert(0, _bucket(plan.recipe))
    return tables


def _untold(plan: SourcePlan) -> set[str]:
    """Ions of which nobody told, and which nothing tells of."""
    found = {"nitrate"} if plan.report.nitrate_mg_n_per_l is None else set()
    for finding in plan.findings:
        rest = finding.arguments.get("rest")
        if finding.key in OF_UNTOLD and isinstance(rest, list):
            found |= {str(each) for each in rest}
    return found


def _as_it_is(plan: SourcePlan) -> str:
    air, untold = plan.aired, _untold(plan)
    told = {"nitrate": NO3_PER_N * air.nitrate_mg_n_per_l, "sodium": air.sodium_mg_per_l}
    others = [
        phrase(f"water-as-it-is-{name}", level=number(level, 2))
        for name, level in told.items()
        if name not in untold
    ]
    hidden = [_name(name) for name in told if name in untold]
    ions = listed(
        [
            phrase(
                "water-as-it-is-ph",
                ph=acidity(air.ph),
                tank_low=acidity(plan.tank_ph.low),
                tank_high=acidity(plan.tank_ph.high),
            ),
            _level("kh", air.kh_dkh),
            _level("gh", air.gh_dgh),
            *others,
        ]
    )
    said = phrase("water-as-it-is", ions=ions)
    return f"{said} {phrase('water-as-it-is-untold', names=listed(hidden))}" if hidden else said


def _suits(plan: SourcePlan) -> str:
    if not plan.suits:
        return phrase("water-suits-none")
    names = [called(each) for each in plan.suits[:MANY]]
    key = "water-suits-more" if len(plan.suits) > MANY else "water-suits"
    return phrase(
        key,
        names=listed(names),
        count=str(len(plan.suits)),
        all=len(plan.suits) + len(plan.suits_not),
    )


def _told(plan: SourcePlan) -> dict[str, str]:
    return _dose(plan.conditioned)


def _dose(told: Conditioned) -> dict[str, str]:
    return {
        "dose": number(1000.0 * told.thiosulfate_g, 2),
        "ammonia": number(told.ammonia_mg_n_per_l, 2),
        "batch": number(told.batch_l, 3),
    }


def _conditioner(assumed: bool, dose: dict[str, str]) -> str:  # noqa: FBT001
    return phrase("water-conditioner-assumed" if assumed else "water-conditioner", **dose)


def _recipe(recipe: Recipe) -> list[str]:
    parts = listed([_part(part) for part in recipe.parts])
    batch = number(recipe.target.batch_l, 3)
    told = []
    if recipe.unmet:
        told.append(phrase("water-unmet", misses=listed([_miss(each) for each in recipe.unmet])))
        helps = [name.replace("-", " ") for name in recipe.helps]
        told.append(
            phrase("water-helps", helps=listed(helps)) if helps else phrase("water-helps-none")
        )
    told.append(phrase("water-recipe", batch=batch, parts=parts, minutes=number(recipe.minutes, 2)))
    told.append(_makes(recipe.made))
    if recipe.binding:
        told.append(phrase("water-binding", ends=listed([_end(each) for each in recipe.binding])))
    doses = _dose(recipe.conditioned)
    return [*told, _conditioner(recipe.conditioned.assumed, doses)]


def _makes(air: AiredWater) -> str:
    return phrase(
        "water-makes", ph=acidity(air.ph), kh=number(air.kh_dkh, 2), gh=number(air.gh_dgh, 2)
    )


def _part(part: PartOfMix) -> str:
    name = part.name.replace("-", " ")
    if part.kind == "water":
        return phrase("water-litres", amount=number(part.measured, 3), name=name)
    if part.stock_ml is not None and part.stock_g_per_l is not None:
        strong, drawn = number(part.stock_g_per_l, 3), number(part.stock_ml, 3)
        return phrase("water-stock", amount=drawn, name=name, strength=strong)
    return phrase("water-grams", amount=number(part.measured, 3), name=name)


def _level(quantity: str, level: float) -> str:
    """A level with its unit; nitrate as kits and reports show it."""
    shown = NO3_PER_N * level if quantity == "nitrate" else level
    return phrase(f"water-level-{_kind(quantity)}", name=_name(quantity), level=number(shown, 2))


def _kind(quantity: str) -> str:
    return quantity if quantity in ("gh", "kh", "ph", "nitrate") else "other"


def _name(quantity: str) -> str:
    return {"gh": "GH", "kh": "KH", "ph": "pH"}.get(quantity, quantity)


def _miss(miss: UnmetRange) -> str:
    key = "water-miss-low" if miss.side == "low" else "water-miss-high"
    wanted, reached = _level(miss.quantity, miss.level), _level(miss.quantity, miss.reached)
    return phrase(key, wanted=wanted, reached=reached)


def _end(end: BindingRange) -> str:
    key = "water-end-low" if end.side == "low" else "water-end-high"
    level = _level(end.quantity, end.level)
    return phrase(key, level=level, saving=number(end.saving, 2))


def _bucket(recipe: Recipe) -> NumberTable:
    rows = []
    for part in recipe.parts:
        unit = phrase("water-unit-l" if part.kind == "water" else "water-unit-g")
        exact, made = number(part.exact, 3), number(part.measured, 3)
        rows.append((part.name.replace("-", " "), f"{exact} {unit}", f"{made} {unit}"))
    headers = (phrase("water-what"), phrase("water-exact"), phrase("water-measured"))
    caption = phrase(
        "water-bucket-caption",
        errors=listed([_level(name, error) for name, error in recipe.errors.items()]),
        doubts=listed([_level(name, doubt.high) for name, doubt in recipe.doubt.items()]),
        price=number(recipe.price, 2),
    )
    title = phrase("water-bucket", batch=number(recipe.target.batch_l, 3))
    return NumberTable(title, caption, headers, tuple(rows))


def _waters(plan: SourcePlan) -> NumberTable:
    columns = [("water-column-tap", plan.aired)]
    if plan.recipe is not None:
        columns.append(("water-column-mix", plan.recipe.made))
    told = [_rows(air) for _, air in columns]
    untold = _untold(plan)
    rows = tuple(
        (
            phrase(f"water-row-{name}"),
            *(
                phrase("water-not-told")
                if name in untold and each[name] == 0.0
                else number(each[name], 3)
                for each in told
            ),
        )
        for name in told[0]
    )
    headers = (phrase("water-what"), *(phrase(key) for key, _ in columns))
    return NumberTable(phrase("water-table"), phrase("water-caption"), headers, rows)


def _rows(air: AiredWater) -> dict[str, float]:
    return {
        "ph": air.ph,
        "kh": air.kh_dkh,
        "gh": air.gh_dgh,
        "sodium": air.sodium_mg_per_l,
        "potassium": air.potassium_mg_per_l,
        "chloride": air.chloride_mg_per_l,
        "sulfate": air.sulfate_mg_per_l,
        "nitrate": NO3_PER_N * air.nitrate_mg_n_per_l,
        "conductivity": air.conductivity_us_per_cm,
        "calcite": air.calcite_index,
    }
