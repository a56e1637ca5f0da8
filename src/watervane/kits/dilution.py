"""A sample diluted because the kit's range was exceeded.

``diluted = 4`` means that one part of tank water stood in four parts of sample, filled up
with water that holds none of what is tested; the value is what the kit showed. Steps and
errors of the kit stay as they are, on the diluted sample; measuring out adds its own error.
"""

from __future__ import annotations

import numpy as np

from watervane.kits.face import Array
from watervane.kits.sizes import number


def dilution_error(fold: Array) -> Array:
    """Relative error of measuring out a dilution.

    Parameters
    ----------
    fold
        Parts of sample for one part of tank water, at least one.

    Notes
    -----
    The variance grows with the number of halvings, ``log2(fold)``: a large dilution is made
    in several small ones.
    """
    return number("dilution_log_sd_per_halving") * np.sqrt(np.log2(fold))
