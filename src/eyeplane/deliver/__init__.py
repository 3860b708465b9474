"""What is handed on: the report of a sitting as one self-contained page, and its wording."""

from eyeplane.deliver.numbers import blur_words
from eyeplane.deliver.report import write_report
from eyeplane.deliver.wording import plain_text, reach_words

__all__ = ["blur_words", "plain_text", "reach_words", "write_report"]
