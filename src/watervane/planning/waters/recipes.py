"""From a mixture to buckets: what is measured out, the error that makes, and the conditioner."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import product

from watervane.chemistry.disinfectant import (
    ammonia_from_chloramine_mg_n_per_l,
    dechlorinator_mg_per_l,
)
from watervane.chemistry.salts import SALTS
from watervane.planning.waters.blending import (
    Blend,
    Mixture,
    Shelf,
    binding_of,
    blend,
    helps_of,
)
from watervane.planning.waters.ions import MEASURES, aired, ions_of_salt, measured, mixed
from watervane.records import (
    AiredWater,
    Conditioned,
    Finding,
    IonWater,
    PartOfMix,
    Recipe,
    SaltAtHand,
    Span,
    WaterTarget,
)

LITRE_MARK = 0.1  # a measuring jug's mark: house estimate
SYRINGE_ML = 0.5  # how well a small syringe is read: house estimate
COARSE = 0.10  # of a weighing: where half a step of the scale is more, a stock solution is made
STOCK_BATCHES = 50
STOCK_G_PER_L_MOST = 80.0  # dissolves at room temperature for the salts below
SOLUBLE = (
    "sodium-bicarbonate",
    "potassium-bicarbonate",
    "calcium-chloride-dihydrate",
    "magnesium-sulfate-heptahydrate",
    "magnesium-chloride-hexahydrate",
    "sodium-chloride",
    "potassium-nitrate",
    "sodium-carbonate",
)
MOST_MOVED = 5  # measures looked at beside their nearest marks
NO_MORE = 1e-6  # of a level: not told apart from the end of a range
LIME_INDEX = 0.8  # of calcite, from which on water soon leaves lime: house estimate
THIOSULFATE = "thiosulfate-pentahydrate"


def usual_salts() -> tuple[SaltAtHand, ...]:
    """Salts a keeper can buy as food or bath grade; prices are house estimates."""
    return (
        SaltAtHand("sodium-bicarbonate", 3.0),
        SaltAtHand("potassium-bicarbonate", 8.0),
        SaltAtHand("calcium-chloride-dihydrate", 6.0),
        SaltAtHand("calcium-sulfate-dihydrate", 4.0, 4.0),  # slow to dissolve
        SaltAtHand("magnesium-sulfate-heptahydrate", 4.0),
        SaltAtHand("sodium-chloride", 1.0),
    )


def conditioned(parts: Sequence[tuple[IonWater, float]], batch_l: float) -> Conditioned:
    """Conditioner for a batch, by the least efficient way it may react.

    Parameters
    ----------
    parts
        Waters and their shares.
    batch_l
        [L]
    """
    chlorine = sum(water.chlorine_mg_per_l * share for water, share in parts)
    chloramine = sum(water.chloramine_mg_per_l * share for water, share in parts)
    dose = float(dechlorinator_mg_per_l(chlorine, chloramine, THIOSULFATE))
    free = sum(14.0067 * water.ions.get("ammonium", 0.0) * share for water, share in parts)
    return Conditioned(
        chlorine,
        chloramine,
        any(share > 0.0 and not water.disinfectant_told for water, share in parts),
        1e-3 * dose * batch_l,
        free + float(ammonia_from_chloramine_mg_n_per_l(chloramine)),
        batch_l,
    )


def recipe_for(shelf: Shelf, target: WaterTarget, more: Shelf | None = None) -> Recipe:
    """Work a recipe out for one batch.

    Parameters
    ----------
    shelf
        What is at hand.
    target
        Ranges, batch, scale and air.
    more
        What could be bought: looked at only where no mixture lies in every range.
    """
    found = blend(shelf, target)
    parts = _parts_within(shelf, found, target)
    ions = shelf.ions(found.mixture)
    made_ions, batch_l = poured_out(shelf, parts)
    exact, made = _aired(ions, target), _aired(made_ions, target)
    waters = [
        (each.water, share) for each, share in zip(shelf.waters, found.mixture.shares, strict=True)
    ]
    return Recipe(
        target=target,
        parts=tuple(part for part in parts if part.exact > 0.0),
        price=found.mixture.price,
        minutes=found.mixture.minutes,
        cost=found.mixture.cost,
        exact=exact,
        made=made,
        errors=_errors(target, (ions, exact), (made_ions, made)),
        doubt=_doubt(shelf, parts, target),
        binding=binding_of(shelf, target, found),
        unmet=found.unmet,
        helps=helps_of(shelf, target, more) if found.unmet and more is not None else (),
        conditioned=conditioned(waters, batch_l),
        findings=_findings(found, shelf, exact),
    )


def poured_out(shelf: Shelf, parts: Sequence[PartOfMix]) -> tuple[dict[str, float], float]:
    """Ions of what is measured out [mmol/L], and how many litres it makes."""
    amounts = {part.name: part.measured for part in parts}
    litres = sum(amounts[each.water.name] for each in shelf.waters)
    told: list[tuple[Mapping[str, float], float]] = [
        (each.water.ions, amounts[each.water.name] / litres) for each in shelf.waters
    ]
    for each in shelf.salts:
        mmol = 1e3 * amounts[each.salt] / SALTS[each.salt].molar_mass_g / litres
        told.append((ions_of_salt(each.salt), mmol))
    return mixed(told), litres


def _parts_within(shelf: Shelf, found: Blend, target: WaterTarget) -> list[PartOfMix]:
    """To the nearest marks and steps; where these leave a range, to others beside them.

    A range that no mixture reaches is not asked for, and where no marks do the nearest stay.
    """
    nearest = _parts(shelf, found.mixture, target, {})
    asked = {name: ends for name, ends in target.ranges.items()
             if name not in {miss.quantity for miss in found.unmet}}  # fmt: skip
    used = [part.name for part in nearest if part.exact > 0.0]
    for moves in _nearby(len(used)):
        told = dict(zip(used, moves, strict=True))
        parts = _parts(shelf, found.mixture, target, told)
        if min(part.measured for part in parts) >= 0.0 and _lies_in(asked, shelf, parts, target):
            return parts
    return nearest


def _nearby(count: int) -> Iterable[tuple[int, ...]]:
    """Marks to move each of some measures by, the fewest moves first."""
    moves = sorted(product((0, -1, 1), repeat=min(count, MOST_MOVED)), key=_moved)
    return [(*each, *(0,) * (count - len(each))) for each in moves]


def _moved(moves: Sequence[int]) -> int:
    return sum(map(abs, moves))


def _lies_in(
    asked: Mapping[str, tuple[float, float]],
    shelf: Shelf,
    parts: Sequence[PartOfMix],
    target: WaterTarget,
) -> bool:
    ions, _ = poured_out(shelf, parts)
    levels = {
        name: _aired(ions, target).ph if name == "ph" else measured(name, ions) for name in asked
    }
    return all(
        low - NO_MORE <= levels[name] <= high + NO_MORE for name, (low, high) in asked.items()
    )


def _parts(
    shelf: Shelf, mixture: Mixture, target: WaterTarget, moves: Mapping[str, int]
) -> list[PartOfMix]:
    litres = [share * target.batch_l for share in mixture.shares]
    by = [moves.get(each.water.name, 0) for each in shelf.waters]
    found = [
        PartOfMix(each.water.name, "water", litre, mark)
        for each, litre, mark in zip(
            shelf.waters, litres, _marked(litres, by, target.batch_l), strict=True
        )
    ]
    for each, mmol in zip(shelf.salts, mixture.salts_mmol_per_l, strict=True):
        grams = 1e-3 * mmol * SALTS[each.salt].molar_mass_g * target.batch_l
        found.append(_weighed(each.salt, grams, target.scale_g, moves.get(each.salt, 0)))
    return found


def _marked(litres: Sequence[float], moves: Sequence[int], batch_l: float) -> list[float]:
    """Litres to the jug's marks, the largest taking what the others leave of the batch."""
    marked = [
        (round(litre / LITRE_MARK) + by) * LITRE_MARK
        for litre, by in zip(litres, moves, strict=True)
    ]
    largest = max(range(len(litres)), key=lambda index: litres[index])
    marked[largest] = batch_l - sum(m for index, m in enumerate(marked) if index != largest)
    return marked


def _weighed(salt: str, grams: float, scale_g: float, by: int) -> PartOfMix:
    """On the scale, or by syringe from a solution where half a step is too much of it."""
    if grams <= 0.0:
        return PartOfMix(salt, "salt", 0.0, 0.0)
    on_scale = (round(grams / scale_g) + by) * scale_g
    if 0.5 * scale_g <= COARSE * grams or salt not in SOLUBLE:
        return PartOfMix(salt, "salt", grams, on_scale)
    per_l = min(max(STOCK_BATCHES * grams, 50.0 * scale_g), STOCK_G_PER_L_MOST)
    strong = round(per_l / scale_g) * scale_g
    millilitres = (round(1e3 * grams / strong / SYRINGE_ML) + by) * SYRINGE_ML
    if millilitres <= 0.0:
        return PartOfMix(salt, "salt", grams, on_scale)
    return PartOfMix(salt, "salt", grams, 1e-3 * millilitres * strong, strong, millilitres)


def _aired(ions: Mapping[str, float], target: WaterTarget) -> AiredWater:
    return aired(ions, target.temperature_c, target.co2_ppm, target.altitude_m)


def _reached(quantity: str, ions: Mapping[str, float], air: AiredWater) -> float:
    return air.ph if quantity == "ph" else measured(quantity, ions)


def _errors(
    target: WaterTarget,
    exact: tuple[Mapping[str, float], AiredWater],
    made: tuple[Mapping[str, float], AiredWater],
) -> dict[str, float]:
    return {name: _reached(name, *made) - _reached(name, *exact) for name in target.ranges}


def _doubt(shelf: Shelf, parts: Sequence[PartOfMix], target: WaterTarget) -> dict[str, Span]:
    """The most that half a step of each measure may move each quantity, all the same way."""
    doubt: dict[str, Span] = {}
    by_name = {part.name: part for part in parts}
    base, litres = poured_out(shelf, parts)
    for quantity in (name for name in target.ranges if name in MEASURES):
        off = 0.0
        for water in shelf.waters:
            if 0.0 < by_name[water.water.name].measured < litres:
                change = measured(quantity, water.water.ions) - measured(quantity, base)
                off += abs(change) * 0.5 * LITRE_MARK / litres
        for salt in shelf.salts:
            part = by_name[salt.salt]
            if part.measured > 0.0:
                mmol = 1e3 * _half_step_g(part, target) / SALTS[salt.salt].molar_mass_g / litres
                off += abs(measured(quantity, ions_of_salt(salt.salt))) * mmol
        doubt[quantity] = Span(-off, off)
    return doubt


def _half_step_g(part: PartOfMix, target: WaterTarget) -> float:
    if part.stock_g_per_l is None or part.stock_ml is None:
        return 0.5 * target.scale_g
    syringe = 1e-3 * 0.5 * SYRINGE_ML * part.stock_g_per_l
    return syringe + 0.5 * target.scale_g / part.stock_g_per_l * part.measured


def _findings(found: Blend, shelf: Shelf, exact: AiredWater) -> tuple[Finding, ...]:
    told = []
    if exact.calcite_index > LIME_INDEX:
        told.append(Finding("water-lime", "caution", {"index": exact.calcite_index}))
    used = {s.salt for s, a in zip(shelf.salts, found.mixture.salts_mmol_per_l, strict=True) if a}
    alkaline = any(SALTS[salt].alkalinity_eq for salt in used)
    if alkaline and any(SALTS[salt].calcium for salt in used):
        told.append(Finding("water-salts-apart", "caution", {}))
    if "calcium-sulfate-dihydrate" in used:
        told.append(Finding("water-gypsum-slow", "info", {}))
    return tuple(told)
