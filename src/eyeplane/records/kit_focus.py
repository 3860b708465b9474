"""What frames of the focus target tell of a kit's focus.

All depths and offsets count along the lens axis, + behind the field that was focused on.
"""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

FocusSide = Literal["", "in front", "behind"]
FocusVerdict = Literal["offset", "offset and scatter", "scatter", "on", "beyond", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusPoint:
    """Blur at one depth of the target: the middle of edges near each other.

    Attributes
    ----------
    behind_mm : float
        Depth of the edges, + behind the field.
    spread_px : float
        Standard deviation of their blur.
    fitted_px : float
        The same on the curve that was fitted.
    upright : bool
        Whether the edges run up and down rather than across.
    edges : int
        How many.
    """

    behind_mm: float
    spread_px: float
    fitted_px: float
    upright: bool
    edges: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetFrame:
    """One frame of the target.

    Attributes
    ----------
    path : str
        The file.
    kit : str
        Body and lens as the file names them.
    problem : str
        Why it tells nothing; empty if it does.
    f_number : float or None
        Aperture; None where the file does not say.
    focal_length_mm : float or None
        Focal length; likewise.
    exposure_time_s : float or None
        Shutter time; likewise.
    distance_mm : float or None
        From the lens to the field; None where focal length or pixel pitch are not known.
    tilt_deg : float or None
        Of the middle panel against the sensor.
    offset_mm : Measured or None
        Where the sharpest plane lies; None: not within the depth of the wings, or not told.
    beyond : {"", "in front", "behind"}
        Side of the plane where it lies past the wings.
    at_least_mm : float or None
        How far it then lies off the field at least.
    depth_front_mm, depth_behind_mm : float or None
        Depth of field about the sharpest plane, in front of it and behind it, for a blur circle of
        1/1500 of the frame's diagonal; None where aperture, focal length or pitch is not known, or
        where it has no end.
    pitch_um : float or None
        Distance of pixel centres; None where the file does not say.
    least_px : float or None
        Blur in the sharpest plane, standard deviation.
    slope_ratio : float or None
        How fast the blur grows away from the plane, against what aperture and focal length give;
        None where they are not known.
    points : tuple of FocusPoint
        Blur against depth, near to far.
    notes : tuple of str
        What to know of this frame.
    """

    path: str
    kit: str
    problem: str = ""
    f_number: float | None = None
    focal_length_mm: float | None = None
    exposure_time_s: float | None = None
    distance_mm: float | None = None
    tilt_deg: float | None = None
    offset_mm: Measured | None = None
    beyond: FocusSide = ""
    at_least_mm: float | None = None
    depth_front_mm: float | None = None
    depth_behind_mm: float | None = None
    pitch_um: float | None = None
    least_px: float | None = None
    slope_ratio: float | None = None
    points: tuple[FocusPoint, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetGroup:
    """Frames of one aperture at one distance.

    Attributes
    ----------
    f_number : float or None
        Aperture; None where the files do not say.
    focal_length_mm : float or None
        Focal length; likewise.
    distance_mm : float or None
        From the lens to the field, the middle of the frames'; None where focal length or pixel
        pitch are not known.
    frames : int
        Frames whose focus is told or lies beyond the wings.
    beyond_front, beyond_behind : int
        Those of them whose plane lies past the wings.
    bias_mm : Measured or None
        Mean offset; None with fewer than three told frames.
    spread_mm : Measured or None
        Standard deviation from frame to frame, the measuring's own error taken out; likewise.
    image_shift_um : Measured or None
        The mean offset as a shift of the image behind the lens, + for a plane behind the field;
        None where the focal length is not known.
    depth_front_mm, depth_behind_mm : float or None
        As of a frame, the middle of the frames'.
    """

    f_number: float | None
    focal_length_mm: float | None
    distance_mm: float | None
    frames: int
    beyond_front: int
    beyond_behind: int
    bias_mm: Measured | None
    spread_mm: Measured | None
    image_shift_um: Measured | None
    depth_front_mm: float | None
    depth_behind_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetShift:
    """How the plane moves between two groups.

    Attributes
    ----------
    kind : {"aperture", "distance"}
        What differs between them.
    of_value, to_value : float
        Aperture (f-number) or distance (mm) of the first and of the second.
    moves_value : Measured
        Mean offset of the second less that of the first: mm between apertures, and µm behind the
        lens between distances.
    sure : bool
        Whether its 90 % interval leaves nought out.
    """

    kind: Literal["aperture", "distance"]
    of_value: float
    to_value: float
    moves_value: Measured
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedFocus:
    """The focus carried to another distance: the same shift of the image behind the lens.

    Attributes
    ----------
    distance_mm : float or None
        From the lens; None where it is not known.
    bias_mm : Measured
        Mean offset there.
    spread_mm : Measured
        Standard deviation there.
    """

    distance_mm: float | None
    bias_mm: Measured
    spread_mm: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusTargetResult:
    """What the frames of a focus target tell.

    Attributes
    ----------
    kit : str
        Body and lens.
    verdict : str
        "offset": the plane lies on one side alike; "offset and scatter": it does, but scatters by
        more; "scatter": no offset is sure, and the scatter surely outweighs any that is left
        possible or the depth of field; "on": no offset is sure, and what is left possible and nine
        frames in ten stay within the depth of field; "beyond": the plane lies past the wings;
        "cannot tell".
    main : int or None
        Place in `groups` of the group that the verdict rests on.
    correct_mm : Measured or None
        How far the plane should be moved at the group's distance, + backwards, away from the
        camera; None where no offset is sure.
    groups : tuple of TargetGroup
        By distance, then by aperture, widest first.
    shifts : tuple of TargetShift
        Between apertures and between distances.
    carried : tuple of CarriedFocus
        The main group's focus at other distances, the one that is remembered first.
    frames : tuple of TargetFrame
        All frames, in the order they were given.
    notes : tuple of str
        What limits the answer.
    """

    kit: str
    verdict: FocusVerdict
    main: int | None
    correct_mm: Measured | None
    groups: tuple[TargetGroup, ...]
    shifts: tuple[TargetShift, ...]
    carried: tuple[CarriedFocus, ...]
    frames: tuple[TargetFrame, ...]
    notes: tuple[str, ...] = ()
