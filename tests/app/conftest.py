"""The invented forecast lives beside the tests of the command line."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))
sys.path.insert(0, str(Path(__file__).parents[1] / "journal"))
