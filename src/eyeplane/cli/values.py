"""What may be typed after an option, each refused with one plain sentence."""

import math
from typing import Any

import click


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


class LengthCm(click.ParamType[float]):
    """A length in centimetres, more than nothing."""

    name = "N"

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> float:
        """Return the length.

        Parameters
        ----------
        value : str or float
            What was typed.
        param : Parameter or None
            The option.
        ctx : Context or None
            The run.

        Returns
        -------
        float
            In cm, > 0.
        """
        number = _number(str(value))
        if number is None or not 0 < number <= 10_000:
            self.fail(f"'{value}' is no length: give centimetres, like 60", param, ctx)
        return number


class ViewingCm(LengthCm):
    """A viewing distance in centimetres, or the word "diagonal"."""

    name = "N|diagonal"

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Any:  # noqa: ANN401  click would take None for "not given"
        """Return the distance.

        Parameters
        ----------
        value : str or float
            What was typed.
        param : Parameter or None
            The option.
        ctx : Context or None
            The run.

        Returns
        -------
        float or str
            In cm, > 0, or "diagonal".
        """
        if str(value).lower() == "diagonal":
            return "diagonal"
        number = _number(str(value))
        if number is None or not 0 < number <= 10_000:
            self.fail(
                f"'{value}' is no distance: give centimetres, like 50, or the word diagonal",
                param,
                ctx,
            )
        return number


class Count(click.ParamType[int]):
    """A number of things, at least one."""

    name = "N"

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> int:
        """Return the number.

        Parameters
        ----------
        value : str or int
            What was typed.
        param : Parameter or None
            The option.
        ctx : Context or None
            The run.

        Returns
        -------
        int
            1 to 256.
        """
        number = _number(str(value))
        if number is None or number != int(number) or not 1 <= number <= 256:
            self.fail(f"'{value}' will not do: give a whole number, like 4", param, ctx)
        return int(number)


class Place(click.ParamType[tuple[float, float]]):
    """A place in the upright frame, x and y in pixels."""

    name = "X,Y"

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> tuple[float, float]:
        """Return the place.

        Parameters
        ----------
        value : str or tuple
            What was typed.
        param : Parameter or None
            The option.
        ctx : Context or None
            The run.

        Returns
        -------
        tuple of float
            (x, y), none negative.
        """
        if isinstance(value, tuple):
            return value
        numbers = [n for part in str(value).split(",") if (n := _number(part)) is not None]
        if str(value).count(",") != 1 or len(numbers) != 2 or min(numbers) < 0:
            self.fail(
                f"'{value}' is no place: give two pixel counts from the upper left corner, "
                "like 2100,1480",
                param,
                ctx,
            )
        return numbers[0], numbers[1]
