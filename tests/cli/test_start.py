"""Help comes at once, because nothing heavy is imported for it."""

from __future__ import annotations

import resource
import signal
import subprocess
import sys

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
    # Processor time, so that a busy machine does not fail the check; idle, the clock agrees.
    def once() -> float:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(
            [sys.executable, "-m", "watervane", "--help"], capture_output=True, check=True
        )
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    assert min(once() for _ in range(5)) < LIMIT_S


def test_interruption_leaves_at_once_even_while_threads_work() -> None:
    program = (
        "import sys, threading, time\n"
        "from watervane.cli.guard import stop_at_once_when_interrupted\n"
        "stop_at_once_when_interrupted()\n"
        "worker = threading.Thread(target=time.sleep, args=(60,))\n"
        "worker.start()\nprint('ready', flush=True)\nworker.join()\n"
    )
    command = [sys.executable, "-c", program]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as run:
        assert run.stdout is not None
        assert run.stdout.readline() == "ready\n"
        run.send_signal(signal.SIGINT)
        _, err = run.communicate(timeout=20)
    assert run.returncode == 130
    assert "Traceback" not in err
