"""The special functions that a plan needs, by their usual names, from NumPy alone.

Loading SciPy's takes longer than a whole plan. Each is a series fitted in Chebyshev polynomials to
SciPy's values, and the tests hold it against them: the Bessel functions to 3e-15, the others to
1e-12 of their value.

References
----------
C. W. Clenshaw, Chebyshev Series for Mathematical Functions, NPL Mathematical Tables 5, 1962 (the
method).
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

FAR = 8.0  # where the series about 0 ends and that about infinity begins
TERMS = 200  # of the series of the incomplete gamma function, enough up to x = 60
# All series by falling powers. J0(x) and J1(x) / x by 2 (x / 8)² − 1, for x < 8.
_J0 = (
    *(-1.245962911378398e-11, 3.375452904316586e-10, -7.915012610934673e-09),
    *(1.5955995626957552e-07, -2.717750176737809e-06, 3.8473197951662876e-05),
    *(-0.00044354592113284616, 0.004058078989593639, -0.028472718611768796),
    *(0.1459888485673306, -0.5074680458468037, 1.0383794611437736, -0.8080888076697269),
    *(-0.6484692830871882, 0.9303012472958581, 0.04582966485981407),
)
_J1 = (
    *(1.1582226918140226e-11, -2.958270410173193e-10, 6.431603169283286e-09),
    *(-1.1966853195311176e-07, 1.8684518329600832e-06, -2.4045750368042093e-05),
    *(0.0002494945820270523, -0.002029039493906695, 0.012456814391979376),
    *(-0.05474581821297415, 0.1585837643272737, -0.25959486528592046, 0.15151665143806264),
    *(0.08105866038589776, -0.05814382795599106),
)
# The slowly changing parts of J0 and J1 beyond 8, by 2 (8 / x)² − 1.
_COS = (
    (
        *(-1.0194030967665094e-12, 5.467074528861977e-12, -2.519044964859804e-11),
        *(1.544350264796471e-10, -1.2118806785769502e-09, 1.2803944512172913e-08),
        *(-2.0527452863353644e-07, 6.137416062766973e-06, -0.0005363673192126324),
        0.9994572757882519,
    ),
    (
        *(1.2915193706445126e-12, -5.908994640707827e-12, 2.712712671670337e-11),
        *(-1.7071323791099233e-10, 1.3603051319750836e-09, -1.470871356075953e-08),
        *(2.4536767305855577e-07, -7.959694671808571e-06, 0.0008988049416687607),
        1.0009070262780813,
    ),
)
_SIN = (
    (
        *(-2.6692880285596646e-11, 1.490375947510501e-10, -7.647685758867053e-10),
        *(5.139476845835967e-09, -4.5345626301760194e-08, 5.684982656793627e-07),
        *(-1.1817111289729408e-05, 0.0005466519279214444, -0.12444091103609654),
    ),
    (
        *(2.8464063243045895e-11, -1.614255628788868e-10, 8.395638592984106e-10),
        *(-5.714124472301281e-09, 5.1356601587605956e-08, -6.633578758349163e-07),
        *(1.456961548557754e-05, -0.0007697167057452558, 0.3742149922195787),
    ),
)
# exp(z²) erfc(z) / t by 2 t − 1, t = 2 / (2 + z).
_TAIL = (
    *(-4.67566600667731e-09, -1.3450771575547048e-08, 6.463614345850394e-08),
    *(5.4513079599857075e-08, -3.6822927754171254e-07, 1.5166743057949203e-07),
    *(1.0695306929399354e-06, -1.956988994125127e-06, -6.014954943761898e-07),
    *(8.138392984058058e-06, -1.0833238943071134e-05, -1.7103966237802624e-05),
    *(7.223155735660733e-05, -1.7178525204897297e-05, -0.0003315361224674125),
    *(0.00041864695871688914, 0.001545305967102686, -0.003239592444920458),
    *(-0.01075533094147949, 0.01822111575003345, 0.13973604627796013, 0.34358034220694406),
    0.5107913526210124,
)
# First guess of the normal quantile, to 4.5e-4: Abramowitz & Stegun, 1964, 26.2.23.
_GUESS_OVER = (0.010328, 0.802853, 2.515517)
_GUESS_UNDER = (0.001308, 0.189269, 1.432788, 1.0)


def j0(x: ArrayLike) -> FloatArray:
    """Return the Bessel function J0.

    Parameters
    ----------
    x : array_like
        Any real numbers.

    Returns
    -------
    ndarray
        Within 3e-15.

    Examples
    --------
    >>> j0([0.0, 2.404825557695773]).round(12) + 0.0
    array([1., 0.])
    """
    size = np.abs(np.asarray(x, float))
    near = _series(2.0 * (np.minimum(size, FAR) / FAR) ** 2 - 1.0, _J0)
    return _with_far(near, size, order=0)


def j1(x: ArrayLike) -> FloatArray:
    """Return the Bessel function J1.

    Parameters
    ----------
    x : array_like
        Any real numbers.

    Returns
    -------
    ndarray
        Within 3e-15.

    Examples
    --------
    >>> j1([0.0, 3.831705970207512]).round(12) + 0.0
    array([0., 0.])
    """
    given = np.asarray(x, float)
    size = np.abs(given)
    near = size * _series(2.0 * (np.minimum(size, FAR) / FAR) ** 2 - 1.0, _J1)
    return np.asarray(np.copysign(1.0, given) * _with_far(near, size, order=1))


def _series(at: FloatArray, terms: tuple[float, ...]) -> FloatArray:
    """Return a series by falling powers (Horner's rule, in place)."""
    total = np.full_like(at, terms[0])
    for term in terms[1:]:
        total *= at
        total += term
    return total


def _with_far(near: FloatArray, size: FloatArray, *, order: int) -> FloatArray:
    """Return what holds below `FAR`, with the rest put in."""
    far = size > FAR
    if not far.any():
        return near
    u = size[far]
    t = 2.0 * (FAR / u) ** 2 - 1.0
    angle = u - (0.5 * order + 0.25) * math.pi
    beyond = _series(t, _COS[order]) * np.cos(angle) - _series(t, _SIN[order]) / u * np.sin(angle)
    whole = np.array(near)
    whole[far] = np.sqrt(2.0 / (math.pi * u)) * beyond
    return whole


def gammainc(order: float, x: ArrayLike) -> FloatArray:
    """Return the lower incomplete gamma function over the whole one.

    Parameters
    ----------
    order : float
        The function's a, > 0.
    x : array_like
        0 to 60.

    Returns
    -------
    ndarray
        0 to 1, within 1e-12.

    Notes
    -----
    x^a e^−x Σ x^n / (a (a + 1) … (a + n)) / Γ(a): Abramowitz & Stegun, 1964, 6.5.29.

    Examples
    --------
    >>> gammainc(1.0, [0.0, 1.0]).round(6)  # 1 − 1/e
    array([0.      , 0.632121])
    """
    at = np.asarray(x, float)
    term = np.full_like(at, 1.0 / order)
    total = term.copy()
    for n in range(1, TERMS):
        term = term * at / (order + n)
        total += term
    return np.asarray(at**order * np.exp(-at) * total / math.gamma(order))


def ndtr(z: ArrayLike) -> FloatArray:
    """Return the share of a normal distribution that lies below.

    Parameters
    ----------
    z : array_like
        Standard deviations above the mean.

    Returns
    -------
    ndarray
        0 to 1, to 1e-12 of itself in the lower tail.

    Examples
    --------
    >>> ndtr([-1.959964, 0.0, 1.959964]).round(6)
    array([0.025, 0.5  , 0.975])
    """
    at = np.asarray(z, float)
    size = np.minimum(np.abs(at), 40.0) / math.sqrt(2.0)
    t = 2.0 / (2.0 + size)
    tail = 0.5 * t * _series(2.0 * t - 1.0, _TAIL) * np.exp(-size * size)
    return np.asarray(np.where(at > 0, 1.0 - tail, tail))


def ndtri(share: ArrayLike) -> FloatArray:
    """Return the number of standard deviations below which a share of a normal distribution lies.

    Parameters
    ----------
    share : array_like
        0 to 1.

    Returns
    -------
    ndarray
        Minus and plus infinity for 0 and 1.

    Notes
    -----
    Two steps of Halley's from a first guess.

    Examples
    --------
    >>> ndtri([0.025, 0.975]).round(6)
    array([-1.959964,  1.959964])
    """
    whole = np.asarray(share, float)
    low = np.minimum(whole, 1.0 - whole)
    inner = np.where(low > 0, low, 0.25)
    t = np.sqrt(-2.0 * np.log(inner))
    z = _series(t, _GUESS_OVER) / _series(t, _GUESS_UNDER) - t
    for _ in range(2):
        step = (ndtr(z) - inner) * math.sqrt(2.0 * math.pi) * np.exp(0.5 * z * z)
        z = z - step / (1.0 + 0.5 * z * step)
    z = np.where(low > 0, z, -np.inf)
    return np.asarray(np.where(whole > 0.5, -z, z))
