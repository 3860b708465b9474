"""A standard head: where its points lie, in mm, and how far heads differ from it.

Axes of the head: x to the picture's right on a head that faces the camera, y up, z towards the
camera. Each row of a pair is given for the side on the picture's left (x < 0); the other side
mirrors it. Numbers of points are those of the mesh.
"""

from dataclasses import dataclass

from eyeplane.people import HEAD_DEPTHS, BodyMeasure

EYE_MM = (
    -31.5,
    26.3,
    37.0,
)  # iris looking ahead; 1.8 behind the upper lid's edge, from memory
GLOBE_RADIUS_MM = 10.5  # iris to the eye's centre of turning, 13.5 behind the cornea, from memory

# (point on the picture's left, its mirror, x, y, z): the canonical face mesh published with the
# nets under the same licence, and its own choice of points for pose; tip and root of the nose,
# forehead, temples, eye corners, cheeks, jaw.
POSE_POINTS = (
    (4, 4, 0.0, -4.6, 75.9),
    (6, 6, 0.0, 24.7, 57.9),
    (10, 10, 0.0, 82.6, 44.8),
    (33, 263, -44.5, 26.6, 31.7),
    (54, 284, -62.8, 66.2, 14.3),
    (67, 297, -35.2, 80.1, 37.3),
    (117, 346, -52.6, 9.5, 29.7),
    (119, 348, -33.0, 8.6, 38.7),
    (121, 350, -18.2, 14.7, 42.2),
    (127, 356, -77.4, 23.6, -20.1),
    (129, 358, -17.9, -9.8, 48.5),
    (132, 361, -72.7, -28.9, -22.5),
    (133, 362, -18.6, 25.9, 37.6),
    (136, 365, -50.9, -71.8, 7.1),
    (143, 372, -64.1, 22.4, 15.6),
    (147, 376, -62.3, -19.4, 16.6),
    (198, 420, -12.5, 2.3, 56.8),
    (205, 425, -38.3, -15.4, 41.4),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A named place on the standard head.

    Attributes
    ----------
    name : str
        Without its side; paired places are named "near …" and "far …" later.
    points : tuple of int
        Points of the mesh on the picture's left whose mean it is; empty if the mesh has none.
    mirror : tuple of int
        Those on the other side; the same for a place in the middle.
    at_mm : tuple of float
        (x, y, z).
    sd_mm : float
        How far z, taken from the iris plane, differs among adults (1 standard deviation).
    """

    name: str
    points: tuple[int, ...]
    mirror: tuple[int, ...]
    at_mm: tuple[float, float, float]
    sd_mm: float

    @property
    def paired(self) -> bool:
        """Return whether the place exists on both sides.

        Returns
        -------
        bool
            False in the middle of the face.
        """
        return self.at_mm[0] != 0.0


def _place(
    name: str,
    points: tuple[tuple[int, ...], tuple[int, ...]],
    at_mm: tuple[float, float],
    depth: BodyMeasure,
) -> Place:
    """Return a place by x and y of the standard head and its depth behind the iris."""
    return Place(
        name=name,
        points=points[0],
        mirror=points[1],
        at_mm=(*at_mm, EYE_MM[2] - depth.mean_mm),
        sd_mm=depth.sd_mm,
    )


_ON_THE_IRIS = BodyMeasure(mean_mm=0.0, sd_mm=0.5, source="gaze and depth of the chamber")
# Between the roots, just before the iris plane, and the corner's side of the lid, behind it.
_LASHES = BodyMeasure(mean_mm=0.0, sd_mm=1.5, source="from memory")
_CHEEK = BodyMeasure(mean_mm=1.0, sd_mm=4.0, source="canonical face mesh; spread from memory")
_NONE: tuple[tuple[int, ...], tuple[int, ...]] = ((), ())

# x and y from the canonical face mesh, the ear's from memory.
PLACES = (
    _place("iris", _NONE, EYE_MM[:2], _ON_THE_IRIS),
    _place("lashes", ((159,), (386,)), (-31.8, 29.6), _LASHES),
    _place("brow", ((52, 105), (282, 334)), (-38.6, 48.1), HEAD_DEPTHS["brow"]),
    _place("corner", ((33,), (263,)), (-44.5, 26.6), HEAD_DEPTHS["outer eye corner"]),
    _place("cheek", ((50,), (280,)), (-47.7, -7.0), _CHEEK),
    _place("ear", _NONE, (-80.0, 16.0), HEAD_DEPTHS["ear"]),
    _place("nose tip", ((1, 4), (1, 4)), (0.0, -8.0), HEAD_DEPTHS["nose tip"]),
    _place("mouth", ((13, 14), (13, 14)), (0.0, -42.6), HEAD_DEPTHS["mouth"]),
    _place("chin", ((199,), (199,)), (0.0, -79.4), HEAD_DEPTHS["chin"]),
    _place("forehead", ((151,), (151,)), (0.0, 65.5), HEAD_DEPTHS["forehead"]),
)
