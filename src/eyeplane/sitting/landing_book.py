"""Which file belongs to which exposure, under which name it was known, and what was taken in."""

from eyeplane.sitting.landing_files import Exposure, Landed
from eyeplane.sitting.landing_walk import Mark, mark_of
from eyeplane.sitting.scan import exposure_of, same_exposure


class Book:
    """The files and exposures of a watched folder.

    Parameters
    ----------
    marks : dict
        (size, time of change) by path of the files that the sitting has already.

    Attributes
    ----------
    files : dict
        Exposure by path, of the files that are there.
    """

    def __init__(self, marks: dict[str, tuple[int, int]]) -> None:
        self.files: dict[str, Exposure] = {}
        self._marks = marks
        self._groups: dict[str, list[Exposure]] = {}
        self._taken: dict[tuple[int, int], str] = {}  # path by what outlasts a new name

    def add(self, one: Landed) -> Exposure:
        """Enter a file.

        Parameters
        ----------
        one : Landed
            A file that was not there.

        Returns
        -------
        Exposure
            What it belongs to, maybe since it was there before.
        """
        exposure = self._group(one.path)
        exposure.files[one.path] = one
        self.files[one.path] = exposure
        return exposure

    def remove(self, path: str) -> Landed:
        """Strike a file out; its exposure is remembered.

        Parameters
        ----------
        path : str
            A file that is entered.

        Returns
        -------
        Landed
            As it was known.
        """
        return self.files.pop(path).files.pop(path)

    def stands(self, exposure: Exposure, one: Landed) -> None:
        """Note that a file was taken in for its exposure and could be read.

        Parameters
        ----------
        exposure : Exposure
            The exposure.
        one : Landed
            The file.
        """
        exposure.taken, exposure.mark, exposure.good = one.path, one.mark, True
        if one.mark.identity is not None:
            self._taken[one.mark.identity] = one.path

    def knows(self, exposure: Exposure, one: Landed) -> bool:
        """Return whether a file was taken in as it stands.

        Parameters
        ----------
        exposure : Exposure
            What it belongs to.
        one : Landed
            The file.

        Returns
        -------
        bool
            False if it was unreadable then.
        """
        if exposure.taken == one.path and exposure.mark is not None:
            return exposure.good and exposure.mark.same(one.mark)
        return self._marks.get(one.path) == (one.mark.size_bytes, one.mark.mtime_ns)

    def name_before(self, path: str, mark: Mark) -> str | None:
        """Return the name under which a file was taken in.

        Parameters
        ----------
        path : str
            Its name today.
        mark : Mark
            How it stands.

        Returns
        -------
        str or None
            Its name of today if it has both; None if it was not taken in, or has changed.
        """
        before = self._taken.get(mark.identity) if mark.identity else None
        if before is None or before == path:
            return None
        kept = mark_of(before)
        if kept is not None:
            return path if kept.identity == mark.identity else None
        exposure = self.files.get(before) or self._group(before)
        if exposure.taken != before or exposure.mark is None or not exposure.mark.same(mark):
            return None
        exposure.taken, exposure.mark, exposure.good = "", None, False
        return before

    def _group(self, path: str) -> Exposure:
        group = self._groups.setdefault(exposure_of(path), [])
        for exposure in group:
            if all(same_exposure(path, p) for p in (*exposure.files, exposure.taken) if p):
                return exposure
        group.append(Exposure())
        return group[-1]
