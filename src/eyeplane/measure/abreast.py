"""Parts of one frame side by side, for the frame that somebody waits for.

The heavy loops let go of Python's lock, so threads fill the cores. Each part is worked out by the
same steps wherever it runs and results keep the order of the parts: the same to the last bit.
"""

import itertools
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, TypeVar

Part = TypeVar("Part")
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True, eq=False)
class Abreast:
    """Who works on the parts of a frame.

    Attributes
    ----------
    helpers : Executor or None
        Threads beside the caller's own; None: it works alone.
    count : int
        How many.
    """

    helpers: Executor | None = None
    count: int = 0

    def map(self, function: Callable[[Part], Found], parts: Iterable[Part]) -> list[Found]:
        """Return what a function makes of each part.

        Parameters
        ----------
        function : callable
            Of one part; must not change what others read.
        parts : iterable
            Best with the longest first.

        Returns
        -------
        list
            In the order of the parts.

        Raises
        ------
        Exception
            The first that a part raised.

        Notes
        -----
        The caller takes parts as well, and takes back what no helper has begun: calls within calls
        neither wait for each other nor need more threads.

        Examples
        --------
        >>> Abreast().map(abs, [-2, 1])
        [2, 1]
        """
        parts = list(parts)
        if self.helpers is None or len(parts) < 2:
            return [function(part) for part in parts]
        found: dict[int, Found] = {}
        turns = itertools.count()

        def work() -> None:
            while (turn := next(turns)) < len(parts):
                found[turn] = function(parts[turn])

        helpers = [self.helpers.submit(work) for _ in range(min(self.count, len(parts) - 1))]
        try:
            work()
        finally:
            begun = [helper for helper in helpers if not helper.cancel()]
            errors = [helper.exception() for helper in begun]
        for error in errors:
            if error is not None:
                raise error
        return [found[turn] for turn in range(len(parts))]

    def calls(self, *functions: Callable[[], Any]) -> list[Any]:
        """Return what each of some functions returns.

        Parameters
        ----------
        *functions : callable
            As for `map`.

        Returns
        -------
        list
            In their order.

        Examples
        --------
        >>> Abreast().calls(list, dict)
        [[], {}]
        """
        return self.map(lambda function: function(), functions)


ALONE = Abreast()


@contextmanager
def abreast(threads: int) -> Iterator[Abreast]:
    """Give so many threads, the caller's among them.

    Parameters
    ----------
    threads : int
        1 for the caller alone.

    Yields
    ------
    Abreast
        To be used within.
    """
    if threads < 2:
        yield ALONE
        return
    with ThreadPoolExecutor(threads - 1) as helpers:
        yield Abreast(helpers, threads - 1)
