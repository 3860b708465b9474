"""Pure optics: thin lens, contrast transfer, and how sharp a print looks; no pixels, no files."""

from eyeplane.optics.barten import Observer, barten_sensitivity
from eyeplane.optics.diffraction import (
    airy_um,
    defocus_mtf,
    defocus_otf,
    defocus_waves,
    diffraction_mtf,
    photopic_diffraction_mtf,
)
from eyeplane.optics.luminosity import photopic_weights
from eyeplane.optics.mirror import (
    CORNEA_RADIUS_MM,
    CORNEA_RADIUS_SD_MM,
    highlight_place_mm,
    highlight_scale_mm_per_rad,
    source_off_axis_deg,
    source_size_deg,
)
from eyeplane.optics.reach import (
    ACCEPTABLE,
    CRITICAL,
    SHARP,
    blur_for_print_px,
    critical_px_per_deg,
    holds_diagonal,
    looks_sharp,
    reach_cm,
)
from eyeplane.optics.sharpness import (
    cycles_per_deg,
    grain_share,
    perceived_sharpness,
    px_per_deg,
    visual_weight,
)
from eyeplane.optics.spread import PointSpread, system_mtf, true_contrast
from eyeplane.optics.thin_lens import (
    blur_circle_um,
    depth_of_field_mm,
    focus_between_mm,
    focus_plane_mm,
    hyperfocal_mm,
    lens_distance_mm,
    magnification,
    subject_distance_mm,
)
from eyeplane.optics.transfer import (
    airy_mtf,
    disc_mtf,
    gaussian_mtf,
    line_mtf,
    pixel_mtf,
    shake_mtf,
)

__all__ = [
    "ACCEPTABLE",
    "CORNEA_RADIUS_MM",
    "CORNEA_RADIUS_SD_MM",
    "CRITICAL",
    "SHARP",
    "Observer",
    "PointSpread",
    "airy_mtf",
    "airy_um",
    "barten_sensitivity",
    "blur_circle_um",
    "blur_for_print_px",
    "critical_px_per_deg",
    "cycles_per_deg",
    "defocus_mtf",
    "defocus_otf",
    "defocus_waves",
    "depth_of_field_mm",
    "diffraction_mtf",
    "disc_mtf",
    "focus_between_mm",
    "focus_plane_mm",
    "gaussian_mtf",
    "grain_share",
    "highlight_place_mm",
    "highlight_scale_mm_per_rad",
    "holds_diagonal",
    "hyperfocal_mm",
    "lens_distance_mm",
    "line_mtf",
    "looks_sharp",
    "magnification",
    "perceived_sharpness",
    "photopic_diffraction_mtf",
    "photopic_weights",
    "pixel_mtf",
    "px_per_deg",
    "reach_cm",
    "shake_mtf",
    "source_off_axis_deg",
    "source_size_deg",
    "subject_distance_mm",
    "system_mtf",
    "true_contrast",
    "visual_weight",
]
