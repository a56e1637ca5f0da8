"""What is kept of a tank as named arrays, so that any store of arrays can hold it.

No code is stored, only numbers and text, with a version of the layout and a digest over all of
them. What another model made cannot be carried on: its members would mean something else.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

import numpy as np
from numpy.typing import NDArray

from watervane import __version__
from watervane.engine.carried_tank import CarriedTank
from watervane.inference.anchors import Anchor, packed_state, unpacked_state
from watervane.inference.carrying import Carried
from watervane.inference.priors import prior_digest
from watervane.process.run import Course
from watervane.process.state import COMPONENTS, OUTPUTS, TankState

Arrays = dict[str, NDArray[Any]]
LAYOUT = 1
_HEAD = "head"
_CARRIED_TEXT = ("names", "look_keys", "day", "reading_keys", "until_d", "effective", "digest")
_ANCHOR_TEXT = ("day", "names", "readings", "effective", "digest")
_ANCHOR_ARRAYS = ("mean", "covariance", "values", "varying", "fixed")


class KeptStateError(ValueError):
    """Arrays that no tank can be carried on from; it has to be fitted anew."""


def to_arrays(tank: CarriedTank) -> Arrays:
    """What is kept, as arrays by name; each of numbers or of text."""
    arrays: Arrays = {}
    anchors: list[Anchor] = list(tank.anchors)
    everyone = [*tank.earlier, tank.kept]
    for one in everyone:
        if one.anchor is not None and all(one.anchor is not a for a in anchors):
            anchors.append(one.anchor)
    told = {
        "made_by": _made_by(),
        "seed": tank.seed,
        "count": tank.count,
        "set": len(tank.anchors),
        "anchors": [_anchor_to(a, f"anchor {i}", arrays) for i, a in enumerate(anchors)],
        "carried": [
            {**_carried_to(one, f"members {i}", arrays), "anchor": _place(one.anchor, anchors)}
            for i, one in enumerate(everyone)
        ],
        "old": _course_to(tank.old, "old", arrays),
        "past": _course_to(tank.past, "past", arrays),
    }
    arrays[_HEAD] = np.array([json.dumps(told)])
    arrays["layout"] = np.array([LAYOUT], dtype=np.int64)
    arrays["digest"] = np.array([_digest(arrays)])
    return arrays


def from_arrays(arrays: Mapping[str, NDArray[Any]]) -> CarriedTank:
    """The inverse of `to_arrays`.

    Raises
    ------
    KeptStateError
        If anything is missing, changed, or made by another model.
    """
    try:
        whole = str(arrays["digest"][0]) == _digest(arrays)
        layout = int(arrays["layout"][0])
    except (KeyError, IndexError, ValueError) as error:
        raise KeptStateError("what was kept of the tank is not whole: fit it anew") from error
    if layout != LAYOUT:
        raise KeptStateError(f"kept in layout {layout}, not {LAYOUT}: fit the tank anew")
    if not whole:
        raise KeptStateError("what was kept of the tank was changed: fit it anew")
    told = json.loads(str(arrays[_HEAD][0]))
    if told["made_by"] != _made_by():
        raise KeptStateError("what was kept of the tank is of another model: fit it anew")
    anchors = [_anchor_from(t, f"anchor {i}", arrays) for i, t in enumerate(told["anchors"])]
    everyone = [
        _carried_from(t, f"members {i}", arrays, anchors) for i, t in enumerate(told["carried"])
    ]
    return CarriedTank(
        everyone[-1],
        tuple(everyone[:-1]),
        tuple(anchors[: told["set"]]),
        _course_from(told["old"], "old", arrays),
        _course_from(told["past"], "past", arrays),
        told["seed"],
        told["count"],
    )


def _made_by() -> list[str]:
    """What numbers mean: the program, its priors, and what stands in a state."""
    parts = hashlib.sha256(" ".join((*COMPONENTS, *OUTPUTS)).encode()).hexdigest()[:12]
    return [__version__, prior_digest(), parts]


def _carried_to(one: Carried, name: str, arrays: Arrays) -> dict[str, Any]:
    arrays[f"{name} z"] = one.z
    arrays[f"{name} looks"] = one.looks
    arrays[f"{name} log_likelihood"] = one.log_likelihood
    arrays[f"{name} state"] = packed_state(one.state)
    return {key: getattr(one, key) for key in (*_CARRIED_TEXT, "seed")}


def _carried_from(
    told: Mapping[str, Any], name: str, arrays: Mapping[str, NDArray[Any]], anchors: list[Anchor]
) -> Carried:
    return Carried(
        tuple(told["names"]),
        arrays[f"{name} z"],
        arrays[f"{name} looks"],
        tuple((int(output), float(day)) for output, day in told["look_keys"]),
        arrays[f"{name} log_likelihood"],
        unpacked_state(arrays[f"{name} state"]),
        told["day"],
        tuple(told["reading_keys"]),
        told["until_d"],
        told["effective"],
        told["digest"],
        told["seed"],
        None if told["anchor"] is None else anchors[told["anchor"]],
    )


def _anchor_to(anchor: Anchor, name: str, arrays: Arrays) -> dict[str, Any]:
    told = asdict(anchor)
    arrays.update({f"{name} {key}": told[key] for key in _ANCHOR_ARRAYS})
    return {key: told[key] for key in _ANCHOR_TEXT}


def _anchor_from(told: Mapping[str, Any], name: str, arrays: Mapping[str, NDArray[Any]]) -> Anchor:
    numbers: dict[str, Any] = {key: arrays[f"{name} {key}"] for key in _ANCHOR_ARRAYS}
    return Anchor(**{**told, "names": tuple(told["names"])}, **numbers)


def _place(anchor: Anchor | None, anchors: list[Anchor]) -> int | None:
    return next((i for i, one in enumerate(anchors) if one is anchor), None)


def _course_to(course: Course | None, name: str, arrays: Arrays) -> dict[str, Any] | None:
    if course is None:
        return None
    arrays[f"{name} stops_d"] = course.stops_d
    arrays[f"{name} outputs"] = course.outputs
    arrays[f"{name} daily_means"] = course.daily_means
    for day, state in course.checkpoints.items():
        arrays[f"{name} state {day}"] = packed_state(state)
    return {"first_day": course.first_day, "checkpoints": sorted(course.checkpoints)}


def _course_from(
    told: Mapping[str, Any] | None, name: str, arrays: Mapping[str, NDArray[Any]]
) -> Course | None:
    if told is None:
        return None
    return Course(
        arrays[f"{name} stops_d"],
        arrays[f"{name} outputs"],
        arrays[f"{name} daily_means"],
        told["first_day"],
        TankState(*(np.zeros(0) for _ in TankState._fields)),
        {day: unpacked_state(arrays[f"{name} state {day}"]) for day in told["checkpoints"]},
    )


def _digest(arrays: Mapping[str, NDArray[Any]]) -> str:
    told = hashlib.sha256()
    for name in sorted(set(arrays) - {"digest"}):
        values = np.ascontiguousarray(arrays[name])
        told.update(f"{name} {values.dtype.str} {values.shape}".encode())
        told.update(values.tobytes())
    return told.hexdigest()
