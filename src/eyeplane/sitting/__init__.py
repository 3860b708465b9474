"""One sitting from folder to advice: scan, measure, keep, bursts, four lines, JSON."""

from eyeplane.sitting.as_json import sitting_json, sitting_schema
from eyeplane.sitting.foretold import Foretold, foretell
from eyeplane.sitting.gather import Measuring
from eyeplane.sitting.learned import learn_from
from eyeplane.sitting.options import Progress, RunOptions
from eyeplane.sitting.run import make_sitting, measure_sitting

__all__ = [
    "Foretold",
    "Measuring",
    "Progress",
    "RunOptions",
    "foretell",
    "learn_from",
    "make_sitting",
    "measure_sitting",
    "sitting_json",
    "sitting_schema",
]
