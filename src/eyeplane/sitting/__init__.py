"""One sitting from folder to advice: scan, measure, keep, bursts, four lines, JSON."""

from eyeplane.sitting.as_json import sitting_json, sitting_schema
from eyeplane.sitting.foretold import Foretold, foretell
from eyeplane.sitting.gather import Measuring
from eyeplane.sitting.ladder import ladder_of, measure_ladder
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.learned import learn_from
from eyeplane.sitting.options import Progress, RunOptions
from eyeplane.sitting.run import make_sitting, measure_sitting

__all__ = [
    "Foretold",
    "LadderAsked",
    "Measuring",
    "Progress",
    "RunOptions",
    "foretell",
    "ladder_of",
    "learn_from",
    "make_sitting",
    "measure_ladder",
    "measure_sitting",
    "sitting_json",
    "sitting_schema",
]
