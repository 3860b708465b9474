"""The lens and where the near eye stood before it: what turns a depth into a blur disc."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.words import listed
from eyeplane.records import Face, FrameReading, Measured

Z90 = 1.6449  # half width of the 90 % interval of a normal distribution, in standard deviations
# A marked f-number differs from the true one by rounding to third stops and by making: 3 %, from
# memory.
F_NUMBER_LOG_SD = 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class Lens:
    """What is needed to work out a blur disc in pixels.

    Attributes
    ----------
    focal_length_mm, f_number : float
        As EXIF gives them, > 0.
    distance_mm : Measured
        Lens to near eye.
    pitch_um : Measured
        Pixel pitch.
    """

    focal_length_mm: float
    f_number: float
    distance_mm: Measured
    pitch_um: Measured

    def circle_px(
        self, focus_mm: NDArray[np.float64], subject_mm: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Return the blur disc's diameter for many planes at once, exact thin lens.

        Parameters
        ----------
        focus_mm : ndarray
            Distance of the focus plane from the lens, > focal length.
        subject_mm : ndarray
            Distance of the subject from the lens, > 0; broadcast against `focus_mm`.

        Returns
        -------
        ndarray
            Diameter in px: (f / N) · f / (focus − f) · |subject − focus| / subject / pitch.

        Notes
        -----
        The same sum as `eyeplane.optics.blur_circle_um`, which takes one pair at a time; a test
        holds the two together.
        """
        f_mm = self.focal_length_mm
        pupil_mm = f_mm / self.f_number
        disc_mm = pupil_mm * f_mm / (focus_mm - f_mm) * np.abs(subject_mm - focus_mm) / subject_mm
        return np.asarray(1000.0 * disc_mm / self.pitch_um.value, dtype=np.float64)

    @property
    def scale_log_sd(self) -> float:
        """Return the standard deviation of the logarithm of all blur discs together.

        Returns
        -------
        float
            Natural logarithm, >= 0.

        Notes
        -----
        Near the focus the disc goes with 1 / distance² and 1 / f-number. The pitch does not come
        in twice: the distance was derived with it, and the two errors nearly cancel.
        """
        distance = math.log(self.distance_mm.high / self.distance_mm.low) / (2 * Z90)
        return math.hypot(2 * distance, F_NUMBER_LOG_SD)


def lens_of(face: Face, reading: FrameReading) -> tuple[Lens | None, str]:
    """Return the lens of a frame as seen from one face, or why it is not known.

    Parameters
    ----------
    face : Face
        Its distance is taken.
    reading : FrameReading
        Its EXIF and pixel pitch are taken.

    Returns
    -------
    lens : Lens or None
        None if anything is missing or impossible (the eye nearer than the focal length).
    why : str
        What is missing, for "because …"; empty if nothing is.
    """
    exif = reading.exposure
    wanted = (
        ("focal length", exif.focal_length_mm),
        ("aperture", exif.f_number),
    )
    missing = [name for name, value in wanted if not value or value <= 0]
    if missing:
        return None, f"the file does not say {listed(missing).replace(' and ', ' or ')}"
    if reading.pitch_um is None:
        return None, "the size of the pixels is not known"
    distance = face.distance_mm
    focal = float(exif.focal_length_mm or 0.0)
    if distance is None or distance.low <= 1.5 * focal or reading.pitch_um.low <= 0:
        return None, "the distance of the face is not known"
    lens = Lens(
        focal_length_mm=focal,
        f_number=float(exif.f_number or 0.0),
        distance_mm=distance,
        pitch_um=reading.pitch_um,
    )
    return lens, ""
