"""What a reading means for a print: reach, cause, offset and one sentence, from numbers only."""

from eyeplane.diagnose.answer import answer_frame

__all__ = ["answer_frame"]
