"""A frame that is open for measuring: its pixels, its noise, and its windows."""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.imaging import LumaWindow, Picture
from eyeplane.measure.abreast import ALONE, Abreast
from eyeplane.measure.noise import Noise, likely_pitch_um, measure_noise
from eyeplane.measure.places import (
    BACKGROUND_SIDE_PX,
    Detail,
    flat_places,
    frame_detail,
    window_at,
)
from eyeplane.measure.spectrum import Spectrum, window_spectrum


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenFrame:
    """An opened frame with what all its windows share.

    Attributes
    ----------
    picture : Picture
        The frame.
    detail : Detail
        Where it has detail.
    noise : Noise or None
        Its noise.
    abreast : Abreast
        Who works on its windows.
    """

    picture: Picture
    detail: Detail
    noise: Noise | None
    abreast: Abreast = ALONE

    def spectrum(self, window: LumaWindow | None) -> Spectrum | None:
        """Return the spectrum of a window.

        Parameters
        ----------
        window : LumaWindow or None
            Of this frame.

        Returns
        -------
        Spectrum or None
            None without a window, or where it is too small, dark or clipped.
        """
        if window is None:
            return None
        return window_spectrum(window, quantization=self.picture.quantization, noise=self.noise)

    def spectrum_at(self, at_px: tuple[float, float], side_px: int) -> Spectrum | None:
        """Return the spectrum of the square window around a place.

        Parameters
        ----------
        at_px : tuple of float
            Its middle, (x, y).
        side_px : int
            Its side.

        Returns
        -------
        Spectrum or None
            None where the frame cuts it, or it is too small, dark or clipped.
        """
        return self.spectrum(window_at(self.picture, at_px, side_px))

    def spectra_at(self, places: Sequence[tuple[float, float]], side_px: int) -> list[Spectrum]:
        """Return the spectra of several places, those that there are.

        Parameters
        ----------
        places : sequence of (float, float)
            Middles, (x, y).
        side_px : int
            Side of each window.

        Returns
        -------
        list of Spectrum
            In the order of the places.
        """
        found = (self.spectrum_at(at, side_px) for at in places)
        return [s for s in found if s is not None]


def open_for_measuring(picture: Picture, *, abreast: Abreast = ALONE) -> OpenFrame:
    """Return a frame with its noise read from its flat places and its ISO setting.

    Parameters
    ----------
    picture : Picture
        The frame.
    abreast : Abreast
        Who works on its windows.

    Returns
    -------
    OpenFrame
        Ready for windows to be taken.
    """
    detail = frame_detail(picture)
    smooth = [window_at(picture, at, BACKGROUND_SIDE_PX) for at in flat_places(detail)]
    noise = measure_noise(
        [window for window in smooth if window is not None],
        iso=picture.exposure.iso,
        quantization=picture.quantization,
        pitch_um=likely_pitch_um(
            picture.exposure,
            pitch_um=picture.pitch_um,
            long_edge_px=max(picture.width_px, picture.height_px),
        ),
    )
    return OpenFrame(picture=picture, detail=detail, noise=noise, abreast=abreast)
