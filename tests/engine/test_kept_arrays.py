"""What is kept of a tank survives a store of arrays, and nothing else passes for it."""

from __future__ import annotations

import io

import numpy as np
import pytest
from test_carried_tank import CLOSE, MEMBERS, kept, told_until, update

from watervane.engine import kept_arrays
from watervane.engine.carried_tank import CarriedTank
from watervane.engine.kept_arrays import KeptStateError, from_arrays, to_arrays


@pytest.fixture(scope="module")
def tank() -> CarriedTank:
    """Carried on twice, and begun at an anchor."""
    first = kept(update(told_until(12), None, spacing=CLOSE).replacement())
    second = kept(update(told_until(15), first, spacing=CLOSE).replacement())
    return kept(update(told_until(18), second, spacing=CLOSE).replacement())


def through_a_file(arrays: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    file = io.BytesIO()
    np.savez_compressed(file, **arrays)
    file.seek(0)
    with np.load(file, allow_pickle=False) as found:
        return {name: found[name] for name in found.files}


def test_a_tank_from_arrays_is_carried_on_as_the_tank_itself(tank: CarriedTank) -> None:
    again = from_arrays(through_a_file(to_arrays(tank)))
    assert tank.kept.anchor is not None
    news = [update(told_until(21), one, spacing=CLOSE).provisional() for one in (tank, again)]
    assert news[0] is not None
    assert news[1] is not None
    one, two = (each.made.forecast for each in news if each is not None)
    assert one.series == two.series
    assert one.settled == two.settled
    assert again.anchors[0].covariance == pytest.approx(tank.anchors[0].covariance)
    assert len(again.kept) == MEMBERS


def test_changed_or_missing_arrays_are_refused(tank: CarriedTank) -> None:
    arrays = to_arrays(tank)
    bent = dict(arrays)
    bent["members 0 z"] = bent["members 0 z"] + 1e-9
    with pytest.raises(KeptStateError, match="changed"):
        from_arrays(bent)
    with pytest.raises(KeptStateError, match="changed"):
        from_arrays({name: a for name, a in arrays.items() if name != "past outputs"})
    with pytest.raises(KeptStateError, match="not whole"):
        from_arrays({})


def test_another_layout_or_model_is_refused(
    tank: CarriedTank, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kept_arrays, "LAYOUT", 99)
    late = to_arrays(tank)
    monkeypatch.undo()
    with pytest.raises(KeptStateError, match="layout 99"):
        from_arrays(late)
    monkeypatch.setattr(kept_arrays, "prior_digest", lambda: "other")
    foreign = to_arrays(tank)
    monkeypatch.undo()
    with pytest.raises(KeptStateError, match="another model"):
        from_arrays(foreign)
