"""The evidence package stands at the root of the repository, its targets beside other tests."""

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
for place in (ROOT, ROOT / "tests" / "inference"):
    if str(place) not in sys.path:
        sys.path.insert(0, str(place))
