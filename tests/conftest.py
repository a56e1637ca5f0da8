"""What every test stands on: property tests draw the same cases on every machine."""

from hypothesis import HealthCheck, settings

# Two slow cores shared with a compiler make any deadline a coin toss.
settings.register_profile(
    "steady", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("explore", parent=settings.get_profile("steady"), derandomize=False)
settings.load_profile("steady")
