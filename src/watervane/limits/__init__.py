"""What harms whom at which level, how fast, and who says so: pure functions of waters."""

from watervane.limits.ammonia import (
    acute_criterion_epa2013,
    acute_criterion_trout_epa2013,
    chronic_criterion_epa2013,
)
from watervane.limits.edits import meant as stands_for
from watervane.limits.exposure import largest_change, mean_over
from watervane.limits.limit import SUBJECTS, TIERS, Limit
from watervane.limits.nitrite import PROTECTED as PROTECTED_BY_CHLORIDE
from watervane.limits.present import every_limit, limit_keys, limits_for, limits_in
from watervane.limits.rates import allowed_change
from watervane.limits.strictest import Judged, judge
from watervane.limits.water import Water

__all__ = [
    "PROTECTED_BY_CHLORIDE",
    "SUBJECTS",
    "TIERS",
    "Judged",
    "Limit",
    "Water",
    "acute_criterion_epa2013",
    "acute_criterion_trout_epa2013",
    "allowed_change",
    "chronic_criterion_epa2013",
    "every_limit",
    "judge",
    "largest_change",
    "limit_keys",
    "limits_for",
    "limits_in",
    "mean_over",
    "stands_for",
]
