"""Score forecasts of a log: made anew for past moments, or stored then."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from watervane.app.ports import BadInput, Ports, Progress, ScoreRequest
from watervane.app.use_cases import check
from watervane.charts import ScorePicture
from watervane.records import (
    LAST_VALUE,
    OWN,
    PRIOR,
    TREND,
    Finding,
    Forecast,
    Person,
    Scores,
    Tank,
)
from watervane.wording import phrase, score_sentences


@dataclass(frozen=True, slots=True)
class Scored:
    """A tank, the scores of its forecasts and what the reader of its file found."""

    tank: Tank
    scores: Scores
    findings: tuple[Finding, ...]


def score(
    actor: Person,
    source: Path,
    request: ScoreRequest,
    ports: Ports,
    progress: Progress | None = None,
) -> Scored:
    """Read a log and score forecasts of it.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it.
    request
        A replay, stored documents, or the forecasts that the journal kept of the tank.
    ports
        The outside parts.
    progress
        Called with a stage key and the share done (0..1).

    Raises
    ------
    BadInput
        With every problem found.
    """
    if (request.stored or request.kept) and request.every_days is not None:
        raise BadInput([Finding("every-with-stored", "problem")])
    name = ports.journal.name_of(source) if request.kept else None
    if request.kept and name is None:
        raise BadInput([Finding("kept-of-a-file", "problem", {"file": str(source)})])
    if progress:
        progress("read", 0.0)
    checked = check(actor, source, ports)
    tank = checked.tank
    if not request.stored and name is None:
        return Scored(tank, ports.replay(tank, request, progress), checked.findings)
    stored = [_stored(path, tank, ports) for path in request.stored]
    stored += () if name is None else _kept(actor, name, ports)
    scores = ports.score_stored(tank, stored)
    if not scores.rows:
        raise BadInput([Finding("score-nothing-since", "problem")], str(source))
    return Scored(tank, scores, checked.findings)


def score_picture_of(scored: Scored) -> ScorePicture:
    """Scores with the words of their picture."""
    return ScorePicture(
        scores=scored.scores,
        title=phrase("score-title", tank=scored.tank.name),
        description=score_sentences(scored.scores)[0],
        names={
            OWN: phrase("rival-watervane"),
            PRIOR: phrase("rival-prior"),
            LAST_VALUE: phrase("rival-last-value"),
            TREND: phrase("rival-trend"),
        },
        claimed=phrase("score-axis-claimed"),
        inside=phrase("score-axis-inside"),
        days_ahead=phrase("score-axis-ahead"),
        ahead=tuple(phrase(f"score-ahead-{key}") for key in ("3", "7", "14", "more")),
        log_score=phrase("score-axis-log"),
    )


def _kept(actor: Person, name: str, ports: Ports) -> list[Forecast]:
    """The forecasts that the journal kept of a tank, the oldest first."""
    with ports.journal.open() as journal, journal.looking(actor) as view:
        found = view.forecasts(view.key_of(name))
    if not found:
        raise BadInput([Finding("none-kept", "problem", {"tank": name})])
    told = sorted(found, key=lambda kept: kept.as_of)
    return [ports.pages.forecast_of_text(kept.document) for kept in told]


def _stored(path: Path, tank: Tank, ports: Ports) -> Forecast:
    forecast = ports.read_forecast(path)
    if (forecast.tank, forecast.filled.date()) != (tank.name, tank.filled):
        told = {
            "file": str(path),
            "stored": forecast.tank,
            "filled": forecast.filled.date(),
            "tank": tank.name,
        }
        raise BadInput([Finding("stored-other-tank", "problem", told)])
    return forecast
