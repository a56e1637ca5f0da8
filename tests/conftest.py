"""What every test stands on: property tests draw the same cases on every machine."""

from __future__ import annotations

import gc
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from xdist.scheduler import LoadFileScheduling

# Two slow cores shared with a compiler make any deadline a coin toss.
settings.register_profile(
    "steady", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("explore", parent=settings.get_profile("steady"), derandomize=False)
settings.load_profile("steady")

COMPILED_TOGETHER = "tests/laws/"


class ByFile(LoadFileScheduling):  # type: ignore[misc, unused-ignore]  # it has no types
    """Files go to workers whole, and those whose program compiles long all to one."""

    def _split_scope(self, nodeid: str) -> str:
        if nodeid.startswith(COMPILED_TOGETHER):
            return COMPILED_TOGETHER
        scope: str = super()._split_scope(nodeid)
        return scope


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> ByFile | None:
    """Ours in place of ``--dist loadfile``."""
    return ByFile(config, log) if config.getvalue("dist") == "loadfile" else None


def pytest_collection_finish() -> None:
    """Nothing that was imported is looked through for litter again and again by each test."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 50)
