"""The eye's response to wavelength, V(λ): the weights of a photopic average."""

import numpy as np
from numpy.typing import NDArray

_V = (
    (380, 0.000039),
    (390, 0.00012),
    (400, 0.000396),
    (410, 0.00121),
    (420, 0.0040),
    (430, 0.0116),
    (440, 0.023),
    (450, 0.038),
    (460, 0.060),
    (470, 0.09098),
    (480, 0.13902),
    (490, 0.20802),
    (500, 0.323),
    (510, 0.503),
    (520, 0.710),
    (530, 0.862),
    (540, 0.954),
    (550, 0.99495),
    (560, 0.995),
    (570, 0.952),
    (580, 0.870),
    (590, 0.757),
    (600, 0.631),
    (610, 0.503),
    (620, 0.381),
    (630, 0.265),
    (640, 0.175),
    (650, 0.107),
    (660, 0.061),
    (670, 0.032),
    (680, 0.017),
    (690, 0.00821),
    (700, 0.004102),
    (710, 0.002091),
    (720, 0.001047),
    (730, 0.00052),
    (740, 0.000249),
    (750, 0.00012),
    (760, 0.00006),
    (770, 0.00003),
    (780, 0.000015),
)  # nm, CIE 1924 photopic V(λ), ISO/CIE 23539; equal to colour-science 0.4.7


def photopic_weights() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return wavelengths and the weights of V(λ) in light of equal energy.

    Returns
    -------
    tuple of ndarray
        Wavelengths in micrometres, 0.38 to 0.78 in steps of 0.01, and weights that add up to 1.

    References
    ----------
    ISO/CIE 23539:2023, photopic luminous efficiency (CIE 1924), tabulated at 10 nm.

    Examples
    --------
    >>> wavelength_um, weight = photopic_weights()
    >>> round(float(wavelength_um @ weight), 4)
    0.5602
    """
    table = np.array(_V)
    return table[:, 0] / 1000, table[:, 1] / table[:, 1].sum()
