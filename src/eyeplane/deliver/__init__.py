"""What is handed on: the report of a sitting, the card of a plan, and their wording."""

from eyeplane.deliver.cautions import cautions
from eyeplane.deliver.check_page import write_check
from eyeplane.deliver.numbers import blur_words
from eyeplane.deliver.plan_card import write_card
from eyeplane.deliver.plan_sweep import write_sweep_plot
from eyeplane.deliver.printed_sheet import write_printed
from eyeplane.deliver.reasons import frame_reasons
from eyeplane.deliver.report import write_report
from eyeplane.deliver.summary import summary_lines
from eyeplane.deliver.wording import plain_text, reach_words

__all__ = [
    "blur_words",
    "cautions",
    "frame_reasons",
    "plain_text",
    "reach_words",
    "summary_lines",
    "write_card",
    "write_check",
    "write_printed",
    "write_report",
    "write_sweep_plot",
]
