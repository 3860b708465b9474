"""What options are called in requests and tables, and back."""

import contextlib
from collections.abc import Iterator

from eyeplane.errors import InputError

# What each option is called in a table; those left out cannot be ranges.
COLUMNS = {
    "distance": "distance_mm",
    "yaw": "yaw_deg",
    "background": "background_mm",
    "focal-length": "focal_length_mm",
    "widest": "widest_f_number",
    "smallest": "smallest_f_number",
    "near-limit": "near_limit_mm",
    "fastest": "fastest_s",
    "slowest": "slowest_s",
    "sync": "sync_s",
    "base-iso": "base_iso",
    "iso-limit": "highest_iso",
    "stabiliser": "stabiliser_stops",
    "steadiness": "shake_deg_per_s",
    "shake": "shake_deg_per_s",
    "focus-bias": "focus_bias_mm",
    "focus-spread": "focus_spread_mm",
    "glass": "glass_um",
    "glass-wide": "glass_wide_um",
    "field-radius": "field_radius_mm",
    "who": "age_years",
    "sitter-speed": "speed_mm_per_s",
    "print-cm": "print_cm",
    "viewing-cm": "viewing_cm",
    "ambient": "exposure_ev",
    "flash-distance": "flash_distance_mm",
    "flash-duration": "full_power_s",
    "source-size": "source_size_mm",
    "source-distance": "source_distance_mm",
    "f-number": "f_number",
    "shutter": "shutter_s",
    "iso": "iso",
    "rows": "rows",
    "row-spacing": "row_spacing_mm",
    "faces-per-row": "faces_per_row",
    "face-spacing": "face_spacing_mm",
    "arc": "arc_radius_mm",
    "lean": "lean_mm_per_s",
    "frame-rate": "frames_per_s",
    "chance": "wanted_share",
}
# What else a plan may call what it refuses.
OPTIONS = {column: option for option, column in COLUMNS.items()} | {
    "distance": "distance",
    "framing": "framing",
    "mood": "mood",
    "glass_range_um": "glass",
    "glass_wide_range_um": "glass-wide",
    "aperture": "f-number",
    "exposure": "light",
    "light": "light",
    "guide_number_m": "light",
    "exposure_ev": "light",
    "yaw": "yaw",
    "print": "print-cm",
    "source_size_mm": "source-size",
    "lean": "lean",
    "background": "background",
    "caught": "caught",
    "chance": "chance",
}


@contextlib.contextmanager
def naming_options() -> Iterator[None]:
    """Name the option in what a plan refuses, for whoever typed it.

    Yields
    ------
    None
        Nothing.

    Raises
    ------
    InputError
        The same, with the option as its place.
    """
    try:
        yield
    except InputError as error:
        option = OPTIONS.get(error.where)
        if option is None:
            raise
        raise InputError(error.what, where=f"--{option}", hint=error.hint) from error
