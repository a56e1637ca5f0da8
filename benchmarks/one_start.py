"""Start one command and print what it took, as JSON.

A process of its own and a small one: a child's largest memory counts what its parent held.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time


def main() -> None:
    """Run the command told by the arguments."""
    with tempfile.TemporaryFile() as said:
        begun = time.perf_counter()
        process = subprocess.Popen(sys.argv[1:], stdout=said, stderr=said)  # noqa: S603  (told by us)
        _, status, used = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - begun
        process.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        found = {
            "code": process.returncode,
            "seconds": seconds,
            "memory_gb": used.ru_maxrss / 1024.0**2,
            "said": said.read().decode(errors="replace"),
        }
    print(json.dumps(found))


if __name__ == "__main__":
    main()
