"""One function over many files: in this process or in a pool that outlives a bad file."""

from eyeplane.work.done import Done
from eyeplane.work.measuring import measure_later, warm_up
from eyeplane.work.pool import FRAME_LIMIT_S, default_workers, run_all, run_each
from eyeplane.work.standing import StandingPool
from eyeplane.work.unreadable import unreadable_frame

__all__ = [
    "FRAME_LIMIT_S",
    "Done",
    "StandingPool",
    "default_workers",
    "measure_later",
    "run_all",
    "run_each",
    "unreadable_frame",
    "warm_up",
]
