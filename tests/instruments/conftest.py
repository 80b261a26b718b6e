"""The simulated and invented visits stand with the tests of comparing."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "compare"))
