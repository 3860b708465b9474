"""A sweep: the same plan for every combination of some ranges, as columns of numbers."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """Plans for a product of ranges; a table whose rows are points.

    Attributes
    ----------
    names : tuple of str
        Inputs that were ranges, in the order given; the last one changes fastest from row to row.
    columns : dict of str to tuple
        All columns by name, the inputs first: each holds one number a row, None where there is
        none (a depth of field without end, nothing within the limits). Names carry their unit.
    settled : bool
        Whether aperture, shutter and ISO were given everywhere; else the best was found at each
        point.
    notes : tuple of str
        How coarsely it was found, and what held points back.
    """

    names: tuple[str, ...]
    columns: dict[str, tuple[float | None, ...]]
    settled: bool
    notes: tuple[str, ...] = ()

    def __len__(self) -> int:
        """Return the number of points.

        Returns
        -------
        int
            Rows of the table.
        """
        return len(self.columns[self.names[0]])
