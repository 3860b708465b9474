"""What a reading means for a print: reach, cause, offset and one sentence, from numbers only."""

from eyeplane.diagnose.answer import answer_frame
from eyeplane.diagnose.colour import learn_colour
from eyeplane.diagnose.quick import quick_reach

__all__ = ["answer_frame", "learn_colour", "quick_reach"]
