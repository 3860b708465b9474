"""Every option of the plans: what to type, what stands if nothing is typed, what is remembered."""

import re

from eyeplane.asked.plan_values import PlanOption, Within, word, yes_or_no
from eyeplane.asked.typed import learned, read_who
from eyeplane.asked.units import (
    NUMBER,
    f_number,
    iso_speed,
    length_mm,
    micrometres_um,
    sides,
    speed_mm_per_s,
    stop_count_ev,
    tidy,
    time_s,
    turn_deg_per_s,
)

MOODS = ("resting", "still", "talking", "laughing", "fidgeting", "toddling", "walking")
APERTURES = Within(0.5, 128.0, "f/0.5 to f/128", "f_number")
TIMES = Within(1 / 64_000, 60.0, "1/64000 to 60 s", "shutter")
ISOS = Within(1.0, 1e7, "1 to 10000000", "iso")
DISTANCES = Within(1.0, 1e6, "1 mm to 1 km")


def _focal_mm(text: str) -> float:
    return length_mm(text, "mm")


def _print_cm(text: str) -> float:
    return length_mm(text, "cm") / 10.0


def _viewing_cm(text: str) -> float | str:
    return "diagonal" if tidy(text) == "diagonal" else _print_cm(text)


def _sensor(text: str) -> tuple[float, float]:
    found = sides(text, "sensor", "36x24 (mm)")
    if not 1.0 <= found[1] <= found[0] <= 500.0:  # a telephone's to 8 x 10 inches, and some more
        raise ValueError(f"'{text}' is out of bounds: give sides of 1 to 500 mm")
    return found


def _pixels(text: str) -> tuple[float, float] | float:
    count = re.fullmatch(rf"({NUMBER})\s*(?:mp|megapixels)", tidy(text))
    if count:
        if not 0.01 <= float(count[1]) <= 10_000.0:
            raise ValueError(f"'{text}' is out of bounds: give 0.01 to 10000 MP")
        return float(count[1]) * 1e6
    found = sides(text, "count of pixels", "6000x4000 or '24 MP'")
    if not 100.0 <= found[1] <= found[0] <= 100_000.0:
        raise ValueError(f"'{text}' is out of bounds: give 100 to 100000 pixels a side")
    return found


def _radius_mm(text: str) -> float:
    found = length_mm(text)
    if abs(found) < 100.0:
        raise ValueError(f"'{text}' bends too much for any lens: give 10cm or more, or none")
    return found


KIT = (
    PlanOption(
        name="focal-length",
        metavar="LENGTH",
        read=_focal_mm,
        default="85mm",
        keeps="kit",
        within=Within(1.0, 3000.0, "1mm to 3000mm"),
        about="Focal length, such as 85mm; a bare number is mm.",
    ),
    PlanOption(
        name="sensor",
        metavar="MMxMM",
        read=_sensor,
        default="36x24",
        keeps="kit",
        about="Sides of the sensor in mm, such as 36x24 or 23.5x15.6.",
    ),
    PlanOption(
        name="pixels",
        metavar="PXxPX",
        read=_pixels,
        keeps="kit",
        about="Pixels of a frame, such as 6000x4000 or '24 MP'. [default: 24 MP in the shape of "
        "the sensor]",
    ),
    PlanOption(
        name="widest",
        metavar="F",
        read=f_number,
        default="f/1.4",
        keeps="kit",
        within=APERTURES,
        about="Widest aperture that the lens has, f/1.4 or 1.4: there its glass is softest.",
    ),
    PlanOption(
        name="smallest",
        metavar="F",
        read=f_number,
        default="f/16",
        keeps="kit",
        within=APERTURES,
        about="Smallest aperture that may be used.",
    ),
    PlanOption(
        name="near-limit",
        metavar="LENGTH",
        read=length_mm,
        keeps="kit",
        within=DISTANCES,
        about="Nearest distance at which the lens focuses, from lens to face, such as 80cm.",
    ),
    PlanOption(
        name="fastest",
        metavar="TIME",
        read=time_s,
        default="1/8000",
        keeps="kit",
        within=TIMES,
        about="Shortest shutter time that may be used.",
    ),
    PlanOption(
        name="slowest",
        metavar="TIME",
        read=time_s,
        default="1/15",
        keeps="kit",
        within=TIMES,
        about="Longest shutter time that may be used.",
    ),
    PlanOption(
        name="sync",
        metavar="TIME",
        read=time_s,
        default="1/200",
        keeps="kit",
        within=TIMES,
        about="Shortest shutter time with flash.",
    ),
    PlanOption(
        name="base-iso",
        metavar="ISO",
        read=iso_speed,
        default="100",
        keeps="kit",
        within=ISOS,
        about="Lowest ISO that may be used.",
    ),
    PlanOption(
        name="iso-limit",
        metavar="ISO",
        read=iso_speed,
        default="1600",
        keeps="kit",
        within=ISOS,
        about="Highest ISO that may be used.",
    ),
    PlanOption(
        name="stabiliser",
        metavar="STOPS",
        read=stop_count_ev,
        default="0",
        keeps="kit",
        within=Within(0.0, 10.0, "0 to 10 stops"),
        about="Stops by which a stabiliser slows your shake, such as '3 stops'; no sitter.",
    ),
    PlanOption(
        name="steadiness",
        metavar="TIME",
        read=time_s,
        keeps="kit",
        within=TIMES,
        about="How steady you are with this lens, without its stabiliser: the slowest shutter time "
        "at which you keep five frames of six of something that does not move, such as 1/60. "
        "[default: as most people are]",
    ),
    PlanOption(
        name="shake",
        metavar="RATE",
        read=learned(turn_deg_per_s),
        keeps="kit",
        within=Within(1e-4, 100.0, "0.0001 to 100 degrees a second"),
        about="The same as a rate: how fast your camera turns, as sittings teach it: '0.7 deg/s "
        "(0.2-3)', half of all exposures and the middle nine in ten. A stabiliser that was on then "
        "is in it already.",
    ),
    PlanOption(
        name="focus-bias",
        metavar="LENGTH",
        read=learned(length_mm),
        keeps="kit",
        within=Within(-500.0, 500.0, "-500mm to 500mm"),
        about="Where autofocus puts the plane, as the report of your sittings says it: '14 mm "
        "behind (11-17)', '-5mm' is in front. [default: on the iris]",
    ),
    PlanOption(
        name="focus-spread",
        metavar="LENGTH",
        read=learned(length_mm),
        keeps="kit",
        within=Within(0.1, 500.0, "0.1mm to 500mm"),
        about="How much that scatters from frame to frame, as a standard deviation: '9 mm (6-14)'. "
        "[default: a usual one]",
    ),
    PlanOption(
        name="glass",
        metavar="UM",
        read=learned(micrometres_um),
        keeps="kit",
        within=Within(0.1, 100.0, "0.1 to 100 um", "ratio", least_end=0.0),
        about="Blur of the lens at its best aperture: standard deviation on the sensor, such as "
        "'3 um', or with its interval '3 um (2.5 to 3.4)', as the chart tells it. "
        "[default: a usual one]",
    ),
    PlanOption(
        name="glass-wide",
        metavar="UM",
        read=learned(micrometres_um),
        keeps="kit",
        within=Within(0.0, 100.0, "0 to 100 um"),
        about="What the lens adds to that wide open, as a standard deviation on the sensor: "
        "'3 um' or '3 um (2 to 4)'. [default: a usual one]",
    ),
    PlanOption(
        name="field-radius",
        metavar="LENGTH",
        read=_radius_mm,
        keeps="kit",
        within=Within(-1e6, 1e6, "-1 km to 1 km"),
        about="Radius of the surface that the lens has in focus, measured; positive where its "
        "edges bend towards the camera. [default: flat]",
    ),
)
CLIENT = (
    PlanOption(
        name="who",
        metavar="WHO",
        read=read_who,
        default="adult",
        keeps="client",
        within=Within(0.0, 120.0, "0 to 120 years"),
        about="Who sits: adult, 'child 4' (years), 'child 18 months', 'toddler 2', newborn.",
    ),
    PlanOption(
        name="mood",
        metavar="WORD",
        read=word(*MOODS),
        keeps="client",
        about=f"How they move: {', '.join(MOODS)}. [default: as usual at that age]",
    ),
    PlanOption(
        name="glasses",
        metavar="",
        read=yes_or_no,
        keeps="client",
        about="Whether they wear glasses, which may catch the focus.",
    ),
    PlanOption(
        name="sitter-speed",
        metavar="SPEED",
        read=learned(speed_mm_per_s),
        keeps="client",
        within=Within(0.01, 10_000.0, "0.01 mm/s to 10 m/s", "ratio"),
        about="How fast this sitter's head moves, if you know it: median, and the middle nine in "
        "ten of frames, such as '15 mm/s (2-80)'. [default: as usual for who and mood]",
    ),
    PlanOption(
        name="print-cm",
        metavar="CM",
        read=_print_cm,
        default="60",
        keeps="client",
        within=Within(1.0, 2000.0, "1 to 2000 cm"),
        about="Longest edge of the print you promised; a bare number is cm, 24in will do too.",
    ),
    PlanOption(
        name="viewing-cm",
        metavar="CM|diagonal",
        read=_viewing_cm,
        default="50",
        keeps="client",
        within=Within(5.0, 10_000.0, "5 to 10000 cm"),
        about="How far the viewer stands from it; 'diagonal' is 1.5 times the print's diagonal.",
    ),
)
