"""How the watching of a folder stands."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """How the watching of a sitting's folder stands.

    Attributes
    ----------
    watching : bool
        Whether new frames are taken in as they land.
    writing : tuple of str
        Names of files that are still being written, the newest first.
    waiting : int
        Whole files whose measurement is not finished.
    trouble : str
        Why nothing can be taken in at the moment, with what to do; empty if all is well.
    """

    watching: bool
    writing: tuple[str, ...] = ()
    waiting: int = 0
    trouble: str = ""
