"""Memory let go of by threads does not pile up."""

from __future__ import annotations

import subprocess
import sys

PROGRAM = """
import sys, threading
import numpy as np
from watervane.process.memory_arenas import few_memory_arenas
if sys.argv[1] == "few" and not few_memory_arenas():
    print(-1, -1)
    raise SystemExit
barrier = threading.Barrier(12)
def work():
    barrier.wait()
    kept = [np.ones(2000) for _ in range(500)]
    barrier.wait()
for thread in [threading.Thread(target=work) for _ in range(12)]:
    thread.start()
for thread in threading.enumerate():
    if thread is not threading.current_thread():
        thread.join()
arenas = sum("rw-p" in line and " 0 " in line for line in open("/proc/self/maps"))
print(arenas, few_memory_arenas())
"""


def _mappings(how: str) -> int:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, how], capture_output=True, text=True, check=True
    )
    return int(done.stdout.split()[0])


def test_few_arenas_are_made_where_the_c_library_lets_one_say_so() -> None:
    few, many = _mappings("few"), _mappings("many")
    assert few == -1 or few < many
