"""The shutter time that the same sitter needs in each framing, by motion alone."""

from dataclasses import replace

import numpy as np

from eyeplane.light import nearest_shutter_s
from eyeplane.people import FRAMINGS
from eyeplane.plan.axes import SAME_MARK
from eyeplane.plan.blurs import image_distance_mm
from eyeplane.plan.expected import expected
from eyeplane.plan.limit_table import motion_limits
from eyeplane.plan.search import Search
from eyeplane.plan.stand import framed_distance_mm
from eyeplane.records import ScaledShutter

KEPT_SHARE = 5 / 6  # five frames of six: the trade's own test of a shutter time; common practice


def scaling(found: Search) -> tuple[ScaledShutter, ...]:
    """Return the slowest shutter time that motion alone leaves in each framing.

    Parameters
    ----------
    found : Search
        Sitter, photographer, lens, and the aperture of the best setting.

    Returns
    -------
    tuple of ScaledShutter
        Closest first: five frames in six stay sharp enough, focus exact and without noise. Framings
        for which the lens would have to be nearer than it can focus are left out; a time shorter
        than the shutter's shortest is None.

    Notes
    -----
    A line on the sensor is speed × image scale × time, and shake × image distance × time: the
    first grows with the framing, the second hardly.
    """
    request, scene = found.request, found.frames.scene
    kit = request.kit
    f_number = float(found.setting.f_number[0])
    line_um = float(motion_limits(kit, request.promise, f_number=f_number).line_um[0])
    stands = [
        (framing, framed_distance_mm(kit, framing, age_years=request.sitter.age_years))
        for framing in FRAMINGS
    ]
    near_mm = kit.near_limit_mm or 0.0
    stands = [(framing, distance_mm) for framing, distance_mm in stands if distance_mm >= near_mm]
    if not stands:
        return ()
    distances_mm = tuple(distance_mm for _, distance_mm in stands)
    there = replace(scene, eyes_mm=distances_mm, person=(0,) * len(stands))
    focus_mm = distances_mm[0]
    lines = expected(there, focus_mm=focus_mm, few=True).blurs.line_um_per_s
    # All lines go with the distance of the image, which is that of the plane in focus.
    image_mm = image_distance_mm(kit, focus_mm=focus_mm)
    told = []
    for (framing, distance_mm), line in zip(stands, lines, strict=True):
        here = line * image_distance_mm(kit, focus_mm=distance_mm) / image_mm
        longest_s = line_um / float(np.quantile(here, KEPT_SHARE))
        shutter_s = None
        if longest_s >= kit.fastest_s * (1 - SAME_MARK):
            shutter_s = float(nearest_shutter_s(longest_s, faster=True))
        told.append(ScaledShutter(framing=framing, distance_mm=distance_mm, shutter_s=shutter_s))
    return tuple(told)
