"""How finely a day is cut: evenly, and more closely after what stirs the water."""

from __future__ import annotations

from dataclasses import dataclass

STRONG_AIR_PER_H = 10.0  # gas transfer up to which the printed accuracy is declared
SPREAD_OF_AIR = 2.0  # by which members' own transfer may exceed the tank's


@dataclass(frozen=True)
class Grid:
    """Where the steps of a day end, before moments of interest cut it further.

    Parameters
    ----------
    steps
        Even steps of a day.
    after_a_dose
        Further cuts after a dose or a change, in even steps: what it sets off in a strong
        film is over in minutes.
    after_others
        Further cuts after any other action, such as a meal, in even steps.
    """

    steps: int
    after_a_dose: tuple[float, ...] = (0.04, 0.13, 0.3, 0.5, 0.75, 1.33, 1.67, 2.33, 2.67, 3.5)
    after_others: tuple[float, ...] = ()


_MEAL = (0.125, 0.375, 0.875)
# Of a dose for nearly three hours: a film as full as can be is still at it then.
_DENSE: tuple[float, ...] = (0.03, 0.09, 0.18, 0.3, 0.45, 0.62, 0.8, 1.25, 1.5, 1.75, 2.25)
_DENSE += (2.5, 2.75, 3.33, 3.67, 4.33, 4.67, 5.5, 6.5, 7.5)
ACCURACIES = ("screening", "sampling", "printed")
USUAL = {"screening": Grid(8), "sampling": Grid(20), "printed": Grid(64, _DENSE, _MEAL)}
IN_STRONG_AIR = {"screening": Grid(8), "sampling": Grid(28), "printed": Grid(112, _DENSE, _MEAL)}


def grid_of(accuracy: str, gas_transfer_per_h: float) -> Grid:
    """The grid on which a tank is run.

    Parameters
    ----------
    accuracy
        ``screening``, ``sampling`` or ``printed``: within 8, 2 or 0.2 % of a series' largest value.
    gas_transfer_per_h
        Of oxygen, the tank's own. [1/h]
    """
    strong = SPREAD_OF_AIR * gas_transfer_per_h > STRONG_AIR_PER_H
    return (IN_STRONG_AIR if strong else USUAL)[accuracy]
