"""What is handed on: the report of a sitting as one self-contained page."""

from eyeplane.deliver.report import write_report

__all__ = ["write_report"]
