"""Point spreads of a simulated camera, by their exact transfer: distances in pixels, x then y."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import j1

Transfer = Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[Any]]


@dataclass(frozen=True, kw_only=True)
class Spread:
    """How one point is spread: its transfer function and how far it reaches.

    Attributes
    ----------
    transfer : callable
        (frequency along x, along y, cycles per pixel) → factor, 1 at 0; complex where the spread
        is lopsided.
    reach_px : float
        Beyond which next to nothing lies.
    """

    transfer: Transfer
    reach_px: float

    def __mul__(self, other: "Spread") -> "Spread":
        """Return the two, one after the other."""
        mine, theirs = self.transfer, other.transfer
        return Spread(
            transfer=lambda u, v: mine(u, v) * theirs(u, v), reach_px=self.reach_px + other.reach_px
        )

    def along(self, frequency_per_px: NDArray[np.float64], angle_deg: float) -> NDArray[np.float64]:
        """Return the MTF in one direction, for blurs only: the pixel's own area is not in it."""
        turn = np.deg2rad(angle_deg)
        u, v = frequency_per_px * np.cos(turn), frequency_per_px * np.sin(turn)
        return np.asarray(np.abs(self.transfer(u, v)), float)


def sharp() -> Spread:
    """Return no spread at all."""
    return Spread(transfer=lambda u, v: np.ones(np.broadcast(u, v).shape), reach_px=0.0)


def gaussian(sigma_x_px: float, sigma_y_px: float | None = None, angle_deg: float = 0.0) -> Spread:
    """Return a Gaussian, round or longer one way; its x axis turned by the angle towards y."""
    sigma_y = sigma_x_px if sigma_y_px is None else sigma_y_px
    c, s = np.cos(np.deg2rad(angle_deg)), np.sin(np.deg2rad(angle_deg))

    def transfer(u: NDArray[np.float64], v: NDArray[np.float64]) -> NDArray[np.float64]:
        along, across = u * c + v * s, v * c - u * s
        squared = (sigma_x_px * along) ** 2 + (sigma_y * across) ** 2
        return np.asarray(np.exp(-2 * np.pi**2 * squared), float)

    return Spread(transfer=transfer, reach_px=5 * max(sigma_x_px, sigma_y))


def disc(diameter_px: float) -> Spread:
    """Return an even disc: light out of focus."""

    def transfer(u: NDArray[np.float64], v: NDArray[np.float64]) -> NDArray[np.float64]:
        x = np.pi * diameter_px * np.hypot(u, v)
        safe = np.where(x > 1e-9, x, 1.0)
        return np.where(x > 1e-9, 2 * j1(safe) / safe, 1.0)

    return Spread(transfer=transfer, reach_px=diameter_px / 2)


def line(length_px: float, angle_deg: float) -> Spread:
    """Return an even line: steady motion; 0° along x, 90° along y (down)."""
    c, s = np.cos(np.deg2rad(angle_deg)), np.sin(np.deg2rad(angle_deg))
    return Spread(
        transfer=lambda u, v: np.sinc(length_px * (u * c + v * s)), reach_px=length_px / 2
    )


def airy(f_number: float, pitch_um: float, wavelength_um: float = 0.55) -> Spread:
    """Return diffraction at a round aperture, one colour; its tails beyond 60 × airy wrap round."""
    airy_px = wavelength_um * f_number / pitch_um

    def transfer(u: NDArray[np.float64], v: NDArray[np.float64]) -> NDArray[np.float64]:
        s = np.clip(np.hypot(u, v) * airy_px, 0.0, 1.0)
        return 2 / np.pi * (np.arccos(s) - s * np.sqrt(1 - s * s))

    return Spread(transfer=transfer, reach_px=60 * airy_px)


@dataclass(frozen=True, kw_only=True)
class Kernel:
    """Any point spread given by its samples.

    Attributes
    ----------
    values : ndarray
        [y, x], odd sides; brought to the sum 1.
    step_px : float
        Between samples.
    """

    values: NDArray[np.float64]
    step_px: float = 1.0

    @cached_property
    def _places(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        height, width = self.values.shape
        return (
            (np.arange(width) - width // 2) * self.step_px,
            (np.arange(height) - height // 2) * self.step_px,
        )

    def spread(self) -> Spread:
        """Return it as a spread: points of light where its samples are."""
        x, y = self._places
        values = self.values / self.values.sum()

        def transfer(u: NDArray[np.float64], v: NDArray[np.float64]) -> NDArray[Any]:
            flat_u, flat_v = np.broadcast_arrays(u, v)
            if np.ndim(u) == 2 and np.shape(u)[0] == 1 and np.shape(v)[-1] == 1:  # a grid
                rows = np.exp(-2j * np.pi * np.outer(np.ravel(v), y))
                return np.asarray(rows @ values @ np.exp(-2j * np.pi * np.outer(x, np.ravel(u))))
            phase = flat_u[..., None, None] * x[None, :] + flat_v[..., None, None] * y[:, None]
            return np.asarray(np.sum(values * np.exp(-2j * np.pi * phase), axis=(-2, -1)))

        return Spread(transfer=transfer, reach_px=float(max(-x[0], -y[0])))
