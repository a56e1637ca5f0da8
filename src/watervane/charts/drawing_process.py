"""A process that only draws: ``python -m watervane.charts.drawing_process``.

The drawing library holds the interpreter while it draws, so whoever serves pages draws elsewhere.
A line of JSON in, ``{"spec": ...}`` or ``{"bundle": ...}``, a line of JSON out, ``{"made": ...}``
or ``{"wrong": ...}``. It ends with the end of what it is sent, and not by the keys of a terminal.
"""

from __future__ import annotations

import json
import signal
import sys
from typing import Any

from watervane.charts.living import VEGA_LITE


def main() -> None:
    """Draw what is asked for until nothing more is."""
    import vl_convert as vlc

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for line in sys.stdin:
        asked: dict[str, Any] = json.loads(line)
        try:
            if "bundle" in asked:
                told = {"made": vlc.javascript_bundle(asked["bundle"], VEGA_LITE)}
            else:
                told = {"made": vlc.vegalite_to_svg(asked["spec"], vl_version=VEGA_LITE)}
        except ValueError as error:
            told = {"wrong": str(error)}
        sys.stdout.write(f"{json.dumps(told)}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
