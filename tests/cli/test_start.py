"""Help comes at once, because nothing heavy is imported for it."""

from __future__ import annotations

import subprocess
import sys
import time

HEAVY = ("jax", "numpy", "scipy", "rich", "vl_convert", "tomlkit", "tree_sitter")
LIMIT_S = 0.3


def test_help_imports_nothing_heavy() -> None:
    program = (
        "import sys\nfrom watervane.bootstrap import main\n"
        "sys.argv = ['watervane', '--help']\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules], file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stderr.strip() == "[]"
    assert "forecast" in done.stdout


def test_help_is_quick() -> None:
    def once() -> float:
        started = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "watervane", "--help"], capture_output=True, check=True
        )
        return time.perf_counter() - started

    assert min(once() for _ in range(5)) < LIMIT_S
