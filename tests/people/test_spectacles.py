"""Where glasses sit before the eye."""

from eyeplane.people import CORNEA_MM, VERTEX_DISTANCE_MM, glasses_frame_depth


def test_vertex_distance_is_what_opticians_count_on() -> None:
    # 12 to 14 mm from the back of the lens to the cornea: dispensing opticians' practice; 8 to 15
    # are worn.
    assert 12.0 <= VERTEX_DISTANCE_MM.mean_mm <= 14.0
    assert VERTEX_DISTANCE_MM.mean_mm - 2 * VERTEX_DISTANCE_MM.sd_mm >= 8.0


def test_the_frame_lies_before_the_cornea_by_lens_and_vertex_distance() -> None:
    frame = glasses_frame_depth()
    assert -20.0 <= frame.mean_mm <= -16.0
    assert frame.mean_mm <= CORNEA_MM.mean_mm - VERTEX_DISTANCE_MM.mean_mm
    assert frame.sd_mm >= VERTEX_DISTANCE_MM.sd_mm
