"""Finds a printed sheet in a frame: which it is, where each of its points lies, how it stands.

Points (x, y): mm on the paper, px of the upright frame with pixel centres at .5; arrays [y, x].
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import Picture
from eyeplane.kit.fiducials import CELLS, SEARCHED_PX, cells_of, search_sizes
from eyeplane.kit.found_sheet import FoundSheet
from eyeplane.kit.mark_edges import Placed, RefinedMark, perspective, refined
from eyeplane.kit.sheet_model import FEWEST_CORNERS, SheetFit, SheetModel, fit_sheet
from eyeplane.kit.sheet_trouble import Limits, check_found, check_marks, unreadable
from eyeplane.records.printed import PrintedMark, PrintedSheet

ROUGH_SHARE = 0.01  # of the frame's long edge: how far distortion may put marks from perspective
ROUGH_SD = 0.8  # px of the search's small copy: spread of corners there, simulated frames
PASSES = 3  # of measuring marks where the model expects them
SETTLED_PX = 2.0  # nearer than that, the bend of a side within its mark is known: measured once
READ_CELLS = 44  # of 49 that must look as printed for a mark to be taken where it was expected
FAR_PX = 3.0  # from the model, at which a mark is not where it should be,
FAR_TIMES = 8.0  # if it is as many times as far off as marks usually are in this frame

Points = NDArray[np.float64]


def find_sheet(
    picture: Picture,
    sheets: Sequence[PrintedSheet],
    *,
    ruler_scale: float = 1.0,
    limits: Limits | None = None,
) -> FoundSheet:
    """Return the sheet that a frame shows.

    Parameters
    ----------
    picture : Picture
        The frame, held any way; the sheet may be upside down.
    sheets : sequence of PrintedSheet
        Those that are looked for.
    ruler_scale : float
        Length of the ruler as measured on the print, over what stands beside it.
    limits : Limits or None
        What is asked of the frame; None: what a reading of the chart needs.

    Returns
    -------
    FoundSheet
        The sheet.

    Raises
    ------
    InputError
        If no sheet is seen, another one, several, or it is out of the frame in part, too small,
        too tilted, not flat, mirrored, or too soft to be read: with what to do.

    Notes
    -----
    Marks are searched for in small copies of the frame, their sides fitted at full size, and a
    model of perspective, distortion and bow put through all corners; with it all other marks are
    looked for where they should be, and all sides fitted once more along their bent courses.
    """
    limits = limits or Limits()
    size_px = (picture.width_px, picture.height_px)
    seen = search_sizes(lambda long_edge_px: small_luma(picture, long_edge_px), size_px)
    sheet = check_marks(picture, seen, sheets)
    search = _Search(picture=picture, sheet=sheet, ruler_scale=ruler_scale)
    first = search.first(
        [(m, seen[m.number][0]) for m in sheet.marks if len(seen.get(m.number, ())) == 1]
    )
    settled = None if first is None else search.settled(first)
    if settled is None:
        raise unreadable(picture)
    fit, marks = settled
    found = FoundSheet(
        sheet=sheet,
        fit=fit,
        marks={number: mark.corners_px for number, mark in sorted(marks.items())},
        hidden=search.hidden(fit.model, marks),
        blur_px=float(np.median([mark.blur_px for mark in marks.values()])),
        contrast=float(np.median([mark.contrast for mark in marks.values()])),
        ruler_scale=ruler_scale,
        pitch_um=None if picture.pitch_um is None else picture.pitch_um.value,
    )
    check_found(picture, found, limits)
    return found


def small_luma(picture: Picture, long_edge_px: int) -> NDArray[np.uint8]:
    """Return a frame small and grey.

    Parameters
    ----------
    picture : Picture
        The frame.
    long_edge_px : int
        Its long edge.

    Returns
    -------
    ndarray
        Of uint8 [y, x], sRGB codes.
    """
    small, _ = picture.rgb_small(long_edge_px)
    return np.asarray(cv2.cvtColor(small, cv2.COLOR_RGB2GRAY), np.uint8)


def focal_length_px(picture: Picture) -> float | None:
    """Return the focal length in pixels of a frame.

    Parameters
    ----------
    picture : Picture
        The frame.

    Returns
    -------
    float or None
        None where the focal length or the pixel pitch is not known.
    """
    focal_mm = picture.exposure.focal_length_mm
    if focal_mm is None or picture.pitch_um is None:
        return None
    return focal_mm * 1000 / picture.pitch_um.value


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Search:
    """One frame and the sheet that is in it."""

    picture: Picture
    sheet: PrintedSheet
    ruler_scale: float

    def first(self, rough: list[tuple[PrintedMark, Points]]) -> SheetFit | None:
        """Return a model through the marks as searched; None where too few agree on one."""
        start = self._perspective(rough)
        if start is None:
            return None
        drawn, seen = [], []
        for mark, corners in rough:
            off = np.hypot(*(start.to_px(np.array(mark.corners_mm)) - corners).T)
            if off.max() < 3 * ROUGH_SHARE * max(start.size_px):
                drawn.append(np.array(mark.corners_mm))
                seen.append(corners)
        if 4 * len(seen) < FEWEST_CORNERS:
            return None
        places = np.concatenate(seen)
        sd_px = ROUGH_SD * max(1.0, max(start.size_px) / SEARCHED_PX[0])
        return fit_sheet(start, np.concatenate(drawn), places, np.full(len(places), sd_px))

    def settled(self, fit: SheetFit) -> tuple[SheetFit, dict[int, RefinedMark]] | None:
        """Return the model through all marks that can be read where it expects them."""
        marks: dict[int, RefinedMark] = {}
        for _ in range(PASSES):
            model = replace(fit.model, view=self._view(fit.model))
            marks = {}
            for mark in self.sheet.marks:
                fine = self._expected(mark, model)
                if fine is not None:
                    marks[mark.number] = fine
            tried = self._fitted(model, marks)
            if tried is None:
                return None
            near = self._near(tried.model, marks)
            if len(near) < len(marks):
                marks, tried = near, self._fitted(tried.model, near)
            if tried is None:
                return None
            fit = tried
            if max(self._offs(model, marks).values()) < SETTLED_PX:
                break
        return fit, marks

    def hidden(self, model: SheetModel, marks: dict[int, RefinedMark]) -> tuple[int, ...]:
        """Return the marks that lie in the frame and were not read."""
        return tuple(
            mark.number
            for mark in self.sheet.marks
            if mark.number not in marks and self._inside(model.to_px(np.array(mark.corners_mm)))
        )

    def _perspective(self, rough: list[tuple[PrintedMark, Points]]) -> SheetModel | None:
        size_px = (self.picture.width_px, self.picture.height_px)
        start = SheetModel(
            size_px=size_px,
            size_mm=(self.sheet.width_mm, self.sheet.height_mm),
            homography=np.eye(3),
        )
        drawn = np.concatenate([mark.corners_mm for mark, _ in rough])
        seen = np.concatenate([corners for _, corners in rough])
        units = (drawn - np.array(start.size_mm) / 2) / start.half_mm
        plane = (seen - np.array(size_px) / 2) / start.half_px
        threshold = ROUGH_SHARE * max(size_px) / start.half_px
        told = cv2.findHomography(units, plane, cv2.RANSAC, threshold)[0]
        matrix = np.asarray(told, np.float64)  # None where the corners fit no perspective
        if matrix.shape != (3, 3) or not abs(matrix[2, 2]) > 1e-9:
            return None
        return replace(start, homography=np.asarray(matrix / matrix[2, 2]))

    def _fitted(self, start: SheetModel, marks: dict[int, RefinedMark]) -> SheetFit | None:
        if 4 * len(marks) < FEWEST_CORNERS:
            return None
        drawn = {mark.number: mark.corners_mm for mark in self.sheet.marks}
        return fit_sheet(
            start,
            np.concatenate([np.array(drawn[number]) for number in marks]),
            np.concatenate([mark.corners_px for mark in marks.values()]),
            np.repeat([mark.sd_px for mark in marks.values()], 4),
        )

    def _view(self, model: SheetModel) -> float:
        """Return the image distance in half diagonals, f (1 + m); 0 where it is not known."""
        focal_px = focal_length_px(self.picture)
        if focal_px is None or self.picture.pitch_um is None:
            return 0.0
        view, pitch_mm = focal_px / model.half_px, self.picture.pitch_um.value / 1000
        for _ in range(3):
            far_mm = replace(model, view=view).axes()[2][2] * model.half_mm * self.ruler_scale
            magnification = view * model.half_px * pitch_mm / far_mm
            view = focal_px * (1 + magnification) / model.half_px
        return view

    def _inside(self, corners_px: Points) -> bool:
        """Return whether a mark with the paper around it lies in the frame."""
        middle = corners_px.mean(axis=0)
        outer = middle + (corners_px - middle) * (1 + 2 / CELLS)
        return bool(
            np.all(outer > 0) and np.all(outer < (self.picture.width_px, self.picture.height_px))
        )

    def _expected(self, mark: PrintedMark, model: SheetModel) -> RefinedMark | None:
        """Return a mark measured where a model expects it, if it looks as printed there."""
        expected = model.to_px(np.array(mark.corners_mm))
        if not self._inside(expected):
            return None
        ring = np.array(mark.corners_mm)
        across, down = ring[1] - ring[0], ring[3] - ring[0]

        def placed(unit: Points) -> Points:
            return model.to_px(ring[0] + unit[:, :1] * across + unit[:, 1:] * down)

        fine = self._refined(mark.number, expected, placed)
        return fine if fine is not None and self._reads(mark.number, fine.corners_px) else None

    def _refined(
        self, number: int, corners_px: Points, placed: Placed | None = None
    ) -> RefinedMark | None:
        light, corner = self._light(corners_px)
        moved = None if placed is None else lambda unit: placed(unit) - corner
        fine = refined(light, corners_px - corner, cells_of(number), placed=moved)
        return None if fine is None else replace(fine, corners_px=fine.corners_px + corner)

    def _light(self, corners_px: Points) -> tuple[NDArray[np.float32], Points]:
        """Return the frame's light around a mark and where that piece lies."""
        reach = np.ptp(corners_px, axis=0).max() * 2 / CELLS + 8
        low = np.floor(corners_px.min(axis=0) - reach).astype(int)
        size = np.ceil(corners_px.max(axis=0) + reach).astype(int) - low
        window = self.picture.luma_window(*low.tolist(), *size.tolist())
        return window.luma, np.array([window.x_px, window.y_px], np.float64)

    def _reads(self, number: int, corners_px: Points) -> bool:
        """Return whether the cells between four corners are those of a mark."""
        light, corner = self._light(corners_px)
        middles = (np.arange(CELLS) + 0.5) / CELLS
        x, y = np.meshgrid(middles, middles)
        at = perspective(corners_px - corner)(np.column_stack([x.ravel(), y.ravel()])).astype(int)
        height, width = light.shape
        if np.any(at < 0) or np.any(at >= (width, height)):
            return False
        seen, bare = light[at[:, 1], at[:, 0]], cells_of(number).ravel() == 1
        paper, ink = np.median(seen[bare]), np.median(seen[~bare])
        return bool(np.sum((seen > (paper + ink) / 2) == bare) >= READ_CELLS and paper > ink)

    def _offs(self, model: SheetModel, marks: dict[int, RefinedMark]) -> dict[int, float]:
        """Return how far each mark is from where a model has it."""
        drawn = {mark.number: np.array(mark.corners_mm) for mark in self.sheet.marks}
        return {
            n: float(np.abs(model.to_px(drawn[n]) - m.corners_px).max()) for n, m in marks.items()
        }

    def _near(self, model: SheetModel, marks: dict[int, RefinedMark]) -> dict[int, RefinedMark]:
        """Return the marks that lie where the model has them: a hand may have been read as one."""
        off = self._offs(model, marks)
        usual = float(np.median(list(off.values())))
        return {n: m for n, m in marks.items() if off[n] <= max(FAR_PX, FAR_TIMES * usual)}
