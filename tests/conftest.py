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

# Looking for cycles every 700 objects took a tenth of the time; few are made, none holds much.
gc.set_threshold(50_000, 10, 10)

COMPILED_TOGETHER = "tests/laws/"

# What takes longest, the longest first: begun late, it leaves the other workers idle at the end.
LONGEST = (
    COMPILED_TOGETHER,
    "tests/browser/test_served_pages.py",
    "tests/browser/test_waiting_changes.py",
    "tests/browser/test_outbox_page.py",
    "tests/browser/test_blueprint_in_browser.py",
    "tests/browser/test_asked_pages.py",
    "tests/house/test_code_blocks.py",
    "tests/browser/test_first_aid_in_browser.py",
    "tests/browser/test_forecast_page.py",
    "tests/journal/test_jobs.py",
    "tests/house/test_wheel.py",
    "tests/app/test_working.py",
    "tests/browser/test_days_page.py",
    "tests/browser/test_at_once_in_browser.py",
    "tests/cli/test_worker_process.py",
    "tests/engine/test_today.py",
    "tests/engine/test_carried_tank.py",
    "tests/journal/test_endurance.py",
    "tests/journal/test_joining.py",
    "tests/browser/test_paired_phone.py",
    "tests/inference/test_anchors.py",
    "tests/web/test_light_server.py",
    "tests/chemistry/test_arrays.py",
    "tests/cli/test_start.py",
    "tests/benchmarks/test_fresh_process.py",
    "tests/journal/test_keeping.py",
    "tests/web/test_blueprint_page.py",
    "tests/engine/test_kept_arrays.py",
    "tests/published/test_startup.py",
    "tests/engine/test_bring_home.py",
    "tests/engine/test_foretell.py",
    "tests/engine/test_ways.py",
)


class ByFile(LoadFileScheduling):  # type: ignore[misc, unused-ignore]  # it has no types
    """Files go to workers whole, the longest first, and whose program compiles long all to one."""

    def _split_scope(self, nodeid: str) -> str:
        if nodeid.startswith(COMPILED_TOGETHER):
            return COMPILED_TOGETHER
        scope: str = super()._split_scope(nodeid)
        return scope

    def _assign_work_unit(self, node: Any) -> None:
        if not self.assigned_work[node]:
            for scope in reversed(LONGEST):
                if scope in self.workqueue:
                    self.workqueue.move_to_end(scope, last=False)
        super()._assign_work_unit(node)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> ByFile | None:
    """Ours in place of ``--dist loadfile``."""
    return ByFile(config, log) if config.getvalue("dist") == "loadfile" else None
