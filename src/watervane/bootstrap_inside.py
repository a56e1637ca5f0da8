"""The real parts behind a look inside; what is slow to import is imported when first used."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from watervane.app.inside_ports import InsidePorts, InsideRequest, Progress
from watervane.charts.colonies_spec import ColoniesPicture
from watervane.charts.ledger_spec import LedgerPicture
from watervane.records import Colonies, NitrogenLedger, Tank


def inside_ports() -> InsidePorts:
    """The parts a real run works with."""
    return InsidePorts(
        ledger=_ledger,
        colonies=_colonies,
        ledger_document=_ledger_document,
        colonies_document=_colonies_document,
        write_ledger_picture=_write_ledger_picture,
        write_colonies_picture=_write_colonies_picture,
    )


def _ledger(
    tank: Tank, request: InsideRequest, as_of: datetime | None, progress: Progress | None
) -> NitrogenLedger:
    from watervane.bootstrap_warmth import warm_up

    warm_up()
    from watervane.engine import ledger

    return ledger.ledger(
        tank,
        as_of=as_of,
        members=request.members,
        seed=request.seed,
        threads=request.threads,
        progress=progress,
    )


def _colonies(
    tank: Tank, request: InsideRequest, as_of: datetime | None, progress: Progress | None
) -> Colonies:
    from watervane.bootstrap_warmth import warm_up

    warm_up()
    from watervane.engine import colonies

    return colonies.colonies(
        tank,
        as_of=as_of,
        horizon_days=request.horizon_days,
        members=request.members,
        seed=request.seed,
        threads=request.threads,
        progress=progress,
    )


def _ledger_document(ledger: NitrogenLedger) -> Mapping[str, Any]:
    from watervane.exchange import inside_json

    return inside_json.ledger_document(ledger)


def _colonies_document(colonies: Colonies) -> Mapping[str, Any]:
    from watervane.exchange import inside_json

    return inside_json.colonies_document(colonies)


def _write_ledger_picture(picture: LedgerPicture, path: Path) -> None:
    from watervane.charts.ledger_spec import ledger_spec
    from watervane.charts.render import write_drawing

    write_drawing(ledger_spec(picture), path)


def _write_colonies_picture(picture: ColoniesPicture, path: Path) -> None:
    from watervane.charts.colonies_spec import colonies_spec
    from watervane.charts.render import write_drawing

    write_drawing(colonies_spec(picture), path)
