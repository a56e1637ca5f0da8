"""What stands against one kind of animal in one tank: its water, its warmth, its size."""

from __future__ import annotations

from watervane.planning.blueprint.heating import BEARABLE_RISE_C
from watervane.planning.choosing.scene import Scene
from watervane.planning.waters.fitting import out_of_range
from watervane.records import AnimalWish, Finding
from watervane.reference import CatalogueAnimal
from watervane.units import Span

WATERS = ("ph", "gh", "kh")
GRACE = 1.03  # the catalogue's lengths are round figures, and two panes take a little of them
LARGE_GROUP = 5  # from which on more of a shoal is better, up to twice as many: house estimate


def range_of(animal: CatalogueAnimal, quantity: str) -> Span | None:
    """Range of temperature, pH, GH or KH of an animal; ``None`` where nobody knows."""
    fields = {
        "temperature": animal.temperature_c,
        "ph": animal.ph,
        "gh": animal.gh_dgh,
        "kh": animal.kh_dkh,
    }
    return fields[quantity]


def against_it(animal: CatalogueAnimal, scene: Scene) -> list[Finding]:
    """Reasons against an animal at any temperature.

    Parameters
    ----------
    animal
        Of the catalogue.
    scene
        The tank.
    """
    return [*_water(animal, scene), *_size(animal, scene)]


def _water(animal: CatalogueAnimal, scene: Scene) -> list[Finding]:
    name = animal.scientific_name
    found = []
    if animal.brackish == "needs":
        found.append(Finding("choose-brackish", "problem", {"name": name}))
    for each in out_of_range(animal, scene.water):
        told = {
            "name": name,
            "quantity": each.quantity,
            "level": each.level,
            "wanted": each.wanted,
        }
        found.append(Finding(f"choose-water-{each.side}", "problem", told))
    return found


def _size(animal: CatalogueAnimal, scene: Scene) -> list[Finding]:
    name = animal.scientific_name
    wanted = animal.tank_length_cm
    found = []
    if wanted is not None and wanted > GRACE * scene.length_cm:
        told = {"name": name, "wanted_cm": wanted, "length_cm": scene.length_cm}
        found.append(Finding("choose-too-long", "problem", told))
    claim = animal.territory_cm2
    defends = animal.territory not in {"none", "unknown"}
    if defends and claim is not None and claim > scene.floor_cm2:
        told = {"name": name, "wanted_cm2": claim, "floor_cm2": scene.floor_cm2}
        found.append(Finding("choose-floor-small", "problem", told))
    return found


def against_warmth(animal: CatalogueAnimal, scene: Scene, temperature_c: float) -> list[Finding]:
    """Reasons against an animal at a temperature; a warm day may pass its range by a little.

    Parameters
    ----------
    animal
        Of the catalogue.
    scene
        With the warmest day.
    temperature_c
        [degC]
    """
    wanted = animal.temperature_c
    if wanted is None:
        return []
    told = {"name": animal.scientific_name, "wanted": wanted, "water_c": temperature_c}
    if temperature_c < wanted.low:
        return [Finding("choose-too-cold", "problem", told)]
    if temperature_c > wanted.high:
        return [Finding("choose-too-warm", "problem", told)]
    hottest = scene.hottest_c(temperature_c)
    if hottest > wanted.high + BEARABLE_RISE_C:
        return [Finding("choose-hot-days", "problem", {**told, "hottest_c": hottest})]
    return []


def least_of(animal: CatalogueAnimal) -> int:
    """Least number of a kind: its group. Unknown counts as one."""
    return max(animal.least_group or 1, 1)


def required_of(wish: AnimalWish, animal: CatalogueAnimal) -> int:
    """Number without which a wish is not met: as told, never less than its group."""
    return max(wish.count or 0, least_of(animal))


def most_of(wish: AnimalWish, animal: CatalogueAnimal) -> int:
    """Number beyond which more is not wished for."""
    if wish.count is not None:
        return required_of(wish, animal)
    least = least_of(animal)
    return 2 * least if least >= LARGE_GROUP else least


def cautions_for(wish: AnimalWish, animal: CatalogueAnimal, scene: Scene) -> list[Finding]:
    """What to know of an animal that is chosen, none of it in the way.

    Parameters
    ----------
    wish
        As told.
    animal
        Of the catalogue.
    scene
        The tank.
    """
    name = animal.scientific_name
    found = []
    if wish.count is not None and wish.count < least_of(animal):
        told = {"name": name, "count": wish.count, "least": least_of(animal)}
        found.append(Finding("choose-group-raised", "caution", told))
    if animal.jumps and not scene.plan.lid:
        found.append(Finding("choose-jumps", "caution", {"name": name}))
    if animal.eats_plants == "yes" and scene.plan.plants != "none":
        found.append(Finding("choose-eats-plants", "caution", {"name": name}))
    if animal.breeds == "unasked":
        found.append(Finding("choose-breeds", "caution", {"name": name}))
    found += _bed_minded(animal, scene)
    if "outgrows" in animal.welfare:
        found.append(Finding("choose-outgrows", "caution", {"name": name}))
    if animal.legal:
        found.append(Finding("choose-legal", "caution", {"name": name}))
    known = [animal.temperature_c, animal.ph, animal.least_group, animal.tank_length_cm]
    if any(each is None for each in known):
        found.append(Finding("choose-little-known", "caution", {"name": name}))
    needs = [each for each in animal.welfare if each not in _seen_to(scene)]
    if needs:
        found.append(Finding("choose-needs", "caution", {"name": name, "needs": needs}))
    return found


def _bed_minded(animal: CatalogueAnimal, scene: Scene) -> list[Finding]:
    """A bed whose upper layer is not what the animal digs in."""
    layers = [layer for layer in scene.plan.layers if layer.material != "none"]
    if not layers or layers[-1].material == "sand":
        return []
    told = {"name": animal.scientific_name, "material": layers[-1].material}
    keys = {"sand": "choose-wants-sand", "gravel swallowed": "choose-swallows-grains"}
    return [Finding(key, "caution", told) for need, key in keys.items() if need in animal.welfare]


def _seen_to(scene: Scene) -> set[str]:
    """Needs that the plan meets, or that another finding tells of."""
    plan = scene.plan
    met = {
        "covered tank": plan.lid,
        "wood": any(each.material == "wood" for each in plan.decor),
        "plants": plan.plants != "none",
    }
    return {"outgrows", "sand", "gravel swallowed", *(name for name, is_so in met.items() if is_so)}
