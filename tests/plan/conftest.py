"""The tests of other layers lend their record builders by name."""

import sys
from pathlib import Path

ROOT = str(Path(__file__).parents[2])
if ROOT not in sys.path:
    sys.path.insert(0, ROOT)
