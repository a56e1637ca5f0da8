"""What a forecast was made of, what had to be assumed, and what does not fit."""

from __future__ import annotations

from collections.abc import Sequence

from watervane import __version__
from watervane.engine.unfitting import unfitting_days
from watervane.inference.fitting import Fitted
from watervane.inference.priors import prior_digest
from watervane.process.source_water import source_findings
from watervane.process.timeline import Timeline
from watervane.records import NAMELESS_FISH, AnimalsIn, Diagnostics, Finding, Reading, Tank
from watervane.reference import strangers_among


def diagnostics(
    fitted: Fitted, used: Sequence[Reading], told: int, accuracy: str, seconds: float
) -> Diagnostics:
    """How the forecast was made and how far it can be trusted.

    Parameters
    ----------
    fitted
        The members and their weights.
    used, told
        Readings weighed, and how many there were before thinning.
    accuracy, seconds
        Of the run.
    """
    findings: list[Finding] = []
    if told > len(used):
        findings.append(Finding("readings-thinned", "info", {"told": told, "used": len(used)}))
    if fitted.health != "good":
        findings.append(
            Finding(
                "few-members-agree",
                "caution",
                {
                    "effective": round(fitted.effective, 1),
                    "members": fitted.tried,
                },
            )
        )
    if fitted.z is not None:
        findings += unfitting_days(used, fitted.fit)
    return Diagnostics(
        members=len(fitted.members),
        prior_members=fitted.tried,
        effective_members=fitted.effective,
        readings_used=len(used),
        health=fitted.health,
        seconds=seconds,
        accuracy=accuracy,
        model_version=__version__,
        parameter_digest=prior_digest(),
        findings=tuple(findings),
    )


def assumptions(tank: Tank, line: Timeline, feeding: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """What the tank file left open and the engine filled in."""
    findings = [*line.findings, *source_findings(tank.source_water), *feeding]
    if not tank.filled_known:
        findings.append(Finding("assumed-filled", "caution", {"filled": f"{tank.filled}"}))
    if tank.room_temperature_c is None:
        findings.append(Finding("assumed-room-temperature", "info", {"temperature_c": 20.0}))
    if not tank.hardness_told:
        findings.append(Finding("assumed-hardness", "info", {}))
    findings += unknown_animals(tank)
    unclear = sorted({r.quantity for r in tank.readings if r.value.basis == "unknown"})
    if unclear:
        findings.append(Finding("basis-unknown", "info", {"quantities": unclear}))
    return tuple(findings)


def unknown_animals(tank: Tank) -> list[Finding]:
    """A caution for each name in the log that no table knows: a slip of the pen, perhaps."""
    names = (e.species for e in tank.events if isinstance(e, AnimalsIn))
    named = (name for name in names if name not in ("", NAMELESS_FISH))
    unknown = strangers_among(named, tank.own_animals)
    return [Finding("strange-animal", "caution", {"species": name}) for name in unknown]
