import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.imaging.tone import ADOBE_RGB, LINEAR, SRGB, linear_to_srgb, srgb_to_linear


@given(st.floats(0, 1))
def test_curve_and_inverse(code: float) -> None:
    linear = srgb_to_linear(np.array([code]))
    assert abs(linear_to_srgb(linear)[0] - code) < 1e-4  # the standard's two constants meet to 1e-5


def test_tables_end_at_white_and_rise() -> None:
    for tone in (SRGB, ADOBE_RGB, LINEAR):
        tables = tone.tables(256)
        assert tables.dtype == np.float32
        assert abs(tables[:, -1].sum() - 1) < 1e-4
        assert (np.diff(tables, axis=1) > 0).all()
