"""What a sentence is made from: one flat record of numbers and names."""

from dataclasses import dataclass

from eyeplane.records import Cause, Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """All that may be said about the deciding face of a frame.

    Attributes
    ----------
    who : str
        Which eye or face, e.g. "near eye", "the third face from the left".
    sitters : int
        How many people count.
    holding : int
        How many of them hold the promised print.
    untold : tuple of str
        Sitters whose reach cannot be told.
    reach_cm : Measured or None
        Of the deciding face.
    diagonal : bool or None
        Whether any print holds from 1.5 times its diagonal; asked if `viewing_cm` is None.
    viewing_cm : float or None
        As set; None means the diagonal.
    print_cm : float or None
        The promised print.
    goal_cm : float or None
        The print that the remedies aim at.
    cause : str
        Of the deciding face.
    closed : tuple of str
        Whose eyes, or which eye, are closed.
    eye_shut : bool
        Whether the counting eye itself is closed.
    side : str
        "behind", "in front of" or "".
    offset_mm, size_mm : Measured or None
        Offset with and without its sign.
    offset_why : str
        Why there is no offset.
    motion_um, motion_mm, motion_px : Measured or None
        Length of the motion.
    angle_deg : float or None
        Its direction.
    time_s, f_number, iso : float or None
        As shot.
    reach_without_noise_cm : float or None
        Reach if there were no noise.
    far_reach_cm, far_depth_mm : float or None
        Of the far eye where it is worth a word.
    others : tuple of str
        Sharp sitters the deciding one is compared with.
    small_stop : bool
        Whether diffraction explains the softness.
    undecided : str
        What cannot be told: "focus or motion", "focus or glass", "texture" (too little) or "".
    doubt : bool or None
        Whether some blur is more probable than none, by the chances; None if they do not say.
    stop : float or None
        Aperture that would have held.
    hold_time_s : float or None
        Exposure time that would have held.
    hold_factor : int or None
        The same as a factor.
    hold_iso : float or None
        Sensitivity that would have held.
    """

    who: str = "near eye"
    sitters: int = 1
    holding: int = 0
    untold: tuple[str, ...] = ()
    reach_cm: Measured | None = None
    diagonal: bool | None = None
    viewing_cm: float | None = 50.0
    print_cm: float | None = None
    goal_cm: float | None = None
    cause: Cause = "cannot tell"
    closed: tuple[str, ...] = ()
    eye_shut: bool = False
    side: str = ""
    offset_mm: Measured | None = None
    size_mm: Measured | None = None
    offset_why: str = ""
    motion_um: Measured | None = None
    motion_mm: Measured | None = None
    motion_px: Measured | None = None
    angle_deg: float | None = None
    time_s: float | None = None
    f_number: float | None = None
    iso: float | None = None
    reach_without_noise_cm: float | None = None
    far_reach_cm: float | None = None
    far_depth_mm: float | None = None
    others: tuple[str, ...] = ()
    small_stop: bool = False
    undecided: str = ""
    doubt: bool | None = None
    stop: float | None = None
    hold_time_s: float | None = None
    hold_factor: int | None = None
    hold_iso: float | None = None
