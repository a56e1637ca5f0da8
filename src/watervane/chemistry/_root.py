"""A root of a rising function in a fixed number of steps, for whole arrays at once."""

from __future__ import annotations

from collections.abc import Callable

from watervane.chemistry._arrays import Numbers, namespace, repeat


def rising_root(
    value_and_slope: Callable[[Numbers], tuple[Numbers, Numbers]],
    start: Numbers,
    low: Numbers,
    high: Numbers,
    iterations: int,
) -> Numbers:
    """Newton where it stays inside the bracket, bisection where it does not.

    Parameters
    ----------
    value_and_slope : callable
        Maps x to a function rising through zero and its derivative.
    start, low, high : float or array
        Of the full shape of the result.
    iterations : int

    Returns
    -------
    float or array
    """
    xp = namespace(start, low, high)

    def narrow(state: tuple[Numbers, ...]) -> tuple[Numbers, ...]:
        x, below, above = state
        value, slope = value_and_slope(x)
        below = xp.where(value < 0.0, x, below)
        above = xp.where(value < 0.0, above, x)
        newton = x - value / slope
        # Bounds included: at the root Newton stands still on one of them.
        inside = (newton >= below) & (newton <= above)
        return xp.where(inside, newton, 0.5 * (below + above)), below, above

    return repeat(iterations, narrow, (start, low, high))[0]
