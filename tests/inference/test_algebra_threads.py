"""BLAS is held to one thread while anybody asks for it, and no longer."""

from __future__ import annotations

import numpy as np
import pytest
from threadpoolctl import threadpool_info, threadpool_limits

from watervane.inference.algebra_threads import one_algebra_thread


def _threads() -> set[int]:
    return {pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"}


def test_threads_come_back_only_when_the_last_user_is_gone() -> None:
    assert np.eye(2).trace() == 2.0  # loads the library
    with threadpool_limits(limits=2, user_api="blas"):
        before = _threads()
        first, second = one_algebra_thread(), one_algebra_thread()
        first.__enter__()
        assert _threads() == {1}
        second.__enter__()
        first.__exit__(None, None, None)
        assert _threads() == {1}
        second.__exit__(None, None, None)
        assert _threads() == before


def test_threads_come_back_after_a_failure() -> None:
    before = _threads()
    with pytest.raises(ZeroDivisionError), one_algebra_thread():
        1 / 0  # noqa: B018
    assert _threads() == before
