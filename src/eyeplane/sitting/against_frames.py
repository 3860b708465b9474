"""Frames of a kit as they are held against another's: what blurs the sitter's eye, and how wide."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.kit.against_sides import KitSide
from eyeplane.records import (
    FaceAnswer,
    FaceReading,
    Measured,
    PlanKit,
    Sitting,
    SittingFrame,
    counting_eye,
)

FloatArray = NDArray[np.float64]

FEWEST = 3  # frames of a kit; fewer cannot tell it from luck; our own
LEAST_LOG_SD = 0.03  # of a size: no blur is known closer than to 3 %; no source
LEAST_BLUR_PX = 0.3  # of which relative errors are told; smaller ones cost no reach
MOST_LOG_SD = 0.7  # a factor of two: more is no longer small against the size
Z90 = 1.645  # half an interval of 90 % over the standard deviation
TOLD_SHARE = 0.5  # of the frames whose focus must be told before it is set apart from the lens


@dataclass(frozen=True, slots=True, kw_only=True)
class KitFrames:
    """The frames of one kit that tell; one entry a frame.

    Attributes
    ----------
    name : str
        Of the kit.
    long_edge_px, short_edge_px : int
        Of its frames.
    pitch_um : float or None
        Distance of pixel centres, where the files tell it.
    field_mm : ndarray
        How wide the frames are along their long edge where the face is.
    focus_px : ndarray
        Disc of missed focus and depth; 0 where another cause was told.
    rest_px : ndarray
        The rest of the disc.
    line_px : ndarray
        Line of motion.
    noise_contrast : ndarray
        Of a pixel; all 0 where it could not be told in most frames.
    noise_told : bool
        Whether it could.
    log_sd : ndarray
        Standard deviation of the logarithm of the blur.
    told : ndarray of bool
        Whether the focus was told from the rest.
    bursts : ndarray of int
        Their bursts.
    left_out : int
        Frames that do not tell.
    f_numbers, isos, focal_mm : tuple of float
        As shot, without repeats.
    """

    name: str
    long_edge_px: int
    short_edge_px: int
    pitch_um: float | None
    field_mm: FloatArray
    focus_px: FloatArray
    rest_px: FloatArray
    line_px: FloatArray
    noise_contrast: FloatArray
    noise_told: bool
    log_sd: FloatArray
    told: NDArray[np.bool_]
    bursts: NDArray[np.intp]
    left_out: int
    f_numbers: tuple[float, ...]
    isos: tuple[float, ...]
    focal_mm: tuple[float, ...]

    @property
    def focus_told(self) -> bool:
        """Return whether the focus can be set apart from the lens.

        Returns
        -------
        bool
            In enough of the frames.
        """
        return bool(np.mean(self.told) >= TOLD_SHARE)


def kit_frames(sitting: Sitting, letter: str, name: str) -> KitFrames:
    """Return the frames of a sitting that tell of their kit.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    letter : str
        "A" or "B", for what is said of it.
    name : str
        What the kit is called.

    Returns
    -------
    KitFrames
        Frames of one sitter each, whose reach and scale are told.

    Raises
    ------
    InputError
        If nobody is in them, they are of several bodies or sizes, or too few tell.
    """
    told = [(frame, *_sitter(frame)) for frame in sitting.frames if _tells(frame)]
    measured = [frame for frame in sitting.frames if frame.reading.status == "measured"]
    if not measured:
        raise InputError(
            f"there is nobody in the frames of {letter} ({name})",
            where=letter,
            hint="Shoot the same sitter with both kits, or the printed chart",
        )
    if len(told) < FEWEST:
        raise InputError(
            f"{len(told)} of {len(sitting.frames)} frames of {letter} ({name}) tell how sharp one "
            f"sitter's near eye is, and fewer than {FEWEST} cannot tell a kit from luck",
            where=letter,
            hint="Shoot five or more of each kit: one sitter, the same framing and light, focused "
            "anew for each",
        )
    _check_one_kit([frame for frame, _, _ in told], letter, name)
    return _gathered(told, sitting, name)


def kit_of_frames(frames: KitFrames | None, letter: str) -> KitSide:
    """Return a kit by what the files of its frames tell: pixels, sensor, lens.

    Parameters
    ----------
    frames : KitFrames or None
        Its frames.
    letter : str
        "A" or "B", for what is said of it.

    Returns
    -------
    KitSide
        With a usual lens, its widest aperture the widest that was used.

    Raises
    ------
    InputError
        If the files do not tell pixel pitch, focal length or aperture.
    """
    if frames is None or frames.pitch_um is None or not frames.f_numbers or not frames.focal_mm:
        lacks = "pixel pitch" if frames is None or frames.pitch_um is None else "lens"
        raise InputError(
            f"the files of {letter} do not tell their {lacks}",
            where=letter,
            hint="Describe it instead, like '24 MP, 36x24, f/2.8', or give frames of both kits",
        )
    kit = PlanKit(
        focal_length_mm=frames.focal_mm[0],
        sensor_long_mm=frames.long_edge_px * frames.pitch_um / 1000.0,
        sensor_short_mm=frames.short_edge_px * frames.pitch_um / 1000.0,
        long_edge_px=frames.long_edge_px,
        short_edge_px=frames.short_edge_px,
        widest_f_number=min(frames.f_numbers),
    )
    return KitSide(name=frames.name, kit=kit)


def _tells(frame: SittingFrame) -> bool:
    sitters = [answer for answer in frame.answer.faces if answer.sitter]
    if frame.reading.status != "measured" or len(sitters) != 1:
        return False
    face, answer = _sitter(frame)
    if answer.reach_cm is None or answer.eyes_open is False:
        return False
    return counting_eye(face).blur.size_px is not None and face.face.mm_per_px.value > 0


def _sitter(frame: SittingFrame) -> tuple[FaceReading, FaceAnswer]:
    number = next(n for n, answer in enumerate(frame.answer.faces) if answer.sitter)
    return frame.reading.faces[number], frame.answer.faces[number]


def _check_one_kit(frames: Sequence[SittingFrame], letter: str, name: str) -> None:
    for what, found in (
        ("bodies", {frame.reading.exposure.body for frame in frames}),
        ("lenses", {frame.reading.exposure.lens for frame in frames}),
        ("sizes", {_edges(frame) for frame in frames}),
    ):
        known = sorted(str(one) for one in found if one)
        if len(known) > 1:
            raise InputError(
                f"the frames of {letter} ({name}) are of several {what}: {', '.join(known[:4])}",
                where=letter,
                hint="Put the frames of each kit into a folder of its own",
            )


def _edges(frame: SittingFrame) -> tuple[int, int]:
    sides = sorted((frame.reading.width_px, frame.reading.height_px))
    return sides[1], sides[0]


def _gathered(
    told: Sequence[tuple[SittingFrame, FaceReading, FaceAnswer]], sitting: Sitting, name: str
) -> KitFrames:
    rows = [_row(*one) for one in told]
    noises = [face.noise_contrast.value for _, face, _ in told if face.noise_contrast is not None]
    noise_told = len(noises) > TOLD_SHARE * len(told)
    usual = max(float(np.median(noises)), 0.0) if noise_told else 0.0
    columns = dict(zip(rows[0], zip(*(row.values() for row in rows), strict=True), strict=True))
    numbers = {key: np.array(values, float) for key, values in columns.items() if key != "told"}
    long_px, short_px = _edges(told[0][0])
    pitches = [frame.reading.pitch_um for frame, _, _ in told]
    exposures = [frame.reading.exposure for frame, _, _ in told]
    return KitFrames(
        name=name,
        long_edge_px=long_px,
        short_edge_px=short_px,
        pitch_um=next((one.value for one in pitches if one is not None), None),
        **numbers,
        noise_contrast=np.array(
            [_noise(face, usual) if noise_told else 0.0 for _, face, _ in told]
        ),
        noise_told=noise_told,
        told=np.array(columns["told"], bool),
        bursts=np.array([frame.burst or -n for n, (frame, _, _) in enumerate(told)]),
        left_out=len(sitting.frames) - len(told),
        f_numbers=tuple(sorted({one.f_number for one in exposures if one.f_number})),
        isos=tuple(sorted({float(one.iso) for one in exposures if one.iso})),
        focal_mm=tuple(sorted({one.focal_length_mm for one in exposures if one.focal_length_mm})),
    )


def _row(frame: SittingFrame, face: FaceReading, answer: FaceAnswer) -> dict[str, float | bool]:
    """Return one frame's numbers."""
    blur = counting_eye(face).blur
    size = blur.size_px or Measured(value=0.0, low=0.0, high=0.0)
    line_px = size.value if blur.kind == "line" else 0.0
    beside = blur.disc_beside_px.value if blur.disc_beside_px is not None else 0.0
    disc_px = beside if blur.kind == "line" else size.value
    parts = [part for part in answer.budget if part.cause in ("focus", "depth")]
    focus_px = max((part.blur_px.value for part in parts if part.blur_px is not None), default=0.0)
    focus_px = min(focus_px, disc_px)
    return {
        "field_mm": _edges(frame)[0] * face.face.mm_per_px.value,
        "focus_px": focus_px,
        "rest_px": float(np.sqrt(max(disc_px**2 - focus_px**2, 0.0))),
        "line_px": line_px,
        "log_sd": _log_sd(size),
        "told": answer.cause != "cannot tell",
    }


def _noise(face: FaceReading, usual: float) -> float:
    return usual if face.noise_contrast is None else max(face.noise_contrast.value, 0.0)


def _log_sd(one: Measured) -> float:
    half = (one.high - one.low) / (2 * Z90)
    relative = half / max(one.value, LEAST_BLUR_PX)
    return float(min(max(relative, LEAST_LOG_SD), MOST_LOG_SD))
