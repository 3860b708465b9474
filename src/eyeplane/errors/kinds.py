"""The exceptions themselves; they survive pickling, since workers send them home."""


class EyeplaneError(Exception):
    """Base class: says what went wrong, where, and what to do next.

    Parameters
    ----------
    what : str
        What went wrong, with the offending value; no full stop.
    where : str
        File, field or argument it went wrong in.
    hint : str
        What the person can do about it; no full stop.
    """

    def __init__(self, what: str, *, where: str, hint: str) -> None:
        super().__init__(what, where, hint)
        self.what = what
        self.where = where
        self.hint = hint

    def __str__(self) -> str:
        return f"{self.where}: {self.what}. {self.hint}."

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild, (type(self), self.what, self.where, self.hint))


def _rebuild(cls: type[EyeplaneError], what: str, where: str, hint: str) -> EyeplaneError:
    return cls(what, where=where, hint=hint)


class InputError(EyeplaneError, ValueError):
    """The caller's value or file is wrong."""


class FrameError(EyeplaneError):
    """One frame cannot be read; it is recorded and the run goes on."""


class StoreError(EyeplaneError):
    """The store cannot be used."""
