"""Exceptions that eyeplane raises: each says where, what, and what to do.

EyeplaneError
  InputError      the caller's value or file is wrong (command exits 2)
  FrameError      one frame cannot be read (recorded with its reason; the run goes on)
  StoreError      the store cannot be used (command exits 3)
"""

from eyeplane.errors.kinds import EyeplaneError, FrameError, InputError, StoreError

__all__ = ["EyeplaneError", "FrameError", "InputError", "StoreError"]
