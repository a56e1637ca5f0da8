"""The page says what was measured, and says where an aim is missed."""

from __future__ import annotations

from benchmarks.compiled import Compiled
from benchmarks.cvode_cost import CvodeCost
from benchmarks.fresh_process import FreshStarts, Start
from benchmarks.numpy_cost import NumpyCost
from benchmarks.page import Busy, page

KEYS = ("sampling 1", "sampling 2", "printed 1", "printed 2")


def written(seconds: tuple[float, ...], cold_s: float = 9.0) -> str:
    ours = Compiled(
        500, 60, dict(zip(KEYS, seconds, strict=True)), dict.fromkeys(KEYS, 1.5), 2.0, 1, 1, 0.4
    )
    numpy = NumpyCost(3e-14, 3, {"sampling": 6e-5, "printed": 1e-4}, {250: 9e-5, 500: 6e-5}, 500)
    errors = {"sampling": 0.004, "printed": 0.001, "CVODE": 0.003}
    cvode = CvodeCost(3, 10, 1e-4, errors, 0.03, 0.027, 250.0, 150.0, 4.5, 2e-6)
    fresh = FreshStarts(
        1000, 30, 12, Start(cold_s, 0.5, ("a", "b")), Start(4.0, 0.5, ("a", "b")),
        Start(0.1, 0.02, ()),
    )  # fmt: skip
    return page(Busy(2, 1.25), ours, numpy, cvode, fresh)


def row_of(text: str, start: str) -> str:
    (found,) = [line for line in text.splitlines() if line.startswith(f"| {start}")]
    return found


def test_aims_are_scaled_to_their_own_size_and_judged() -> None:
    text = written((0.5, 0.25, 1.0, 0.7), cold_s=30.0)  # NumPy: 3.60 ms, 1.67 times as long
    assert row_of(text, "sampling, two threads").endswith("| 0.6 s | 0.50 s | 0.30 s | met |")
    assert row_of(text, "printed, two threads").endswith(
        "| 1.2 s | 1.40 s | 0.84 s | met there, 1.2 times the aim here |"
    )
    assert row_of(text, "forecast, cold").endswith(
        "| 12 s | 30.00 s | 18.00 s | missed, 1.5 times the aim there |"
    )
    assert row_of(text, "largest memory").endswith("| 1 GB | 0.50 GB | 0.50 GB | met |")
    assert "1.67 times as long" in text


def test_every_rival_stands_per_member_beside_ours() -> None:
    text = written((0.6, 0.3, 1.2, 0.6))  # 20 microseconds for a member and day
    assert row_of(text, "ours, sampling").endswith("| 1.20 | 1.0 |")
    assert row_of(text, "the same scheme in NumPy, sampling").endswith("| 3.60 | 3.0 |")
    assert row_of(text, "CVODE, as it is").endswith("| 1800.00 | 1500.0 |")
    assert row_of(text, "CVODE, only its rates").endswith("| 30.00 | 25.0 |")
    assert row_of(text, "the same, as if Jacobians").endswith("| 18.00 | 15.0 |")


def test_what_else_the_machine_did_is_told() -> None:
    assert "1.2 processes on average" in written((0.5, 0.25, 1.0, 0.7))


def test_lines_fit_the_width_of_our_pages() -> None:
    lines = written((0.5, 0.25, 1.0, 0.7)).splitlines()
    assert [line for line in lines if len(line) > 110] == []
