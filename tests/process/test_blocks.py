"""Members by block: each once, in no more lanes than it needs, and never one core left idle."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.process.run import BLOCK_MEMBERS, NARROW_MEMBERS, blocks_of, lanes_for


@pytest.mark.parametrize("count", [1, 60, 250, 251, 400, 500, 501, 700, 750, 751, 1000, 1300])
def test_each_member_runs_once_in_a_block_that_holds_it(count: int) -> None:
    blocks = blocks_of(count)
    assert np.concatenate(blocks).tolist() == list(range(count))
    for block in blocks:
        assert lanes_for(len(block)) in (NARROW_MEMBERS, BLOCK_MEMBERS)
        assert len(block) <= lanes_for(len(block))
        assert len(block) > NARROW_MEMBERS or lanes_for(len(block)) == NARROW_MEMBERS
    assert count <= NARROW_MEMBERS or len(blocks) > 1
