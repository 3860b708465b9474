"""The options of one sitting: light, what is settled, sitter, group and lean-in; and the tables."""

from dataclasses import replace

from eyeplane.asked.plan_options import APERTURES, CLIENT, DISTANCES, ISOS, KIT, TIMES
from eyeplane.asked.plan_values import PlanOption, Within, whole, word, yes_or_no
from eyeplane.asked.typed import LIGHTS, read_light
from eyeplane.asked.units import (
    angle_deg,
    exposure_value_ev,
    f_number,
    iso_speed,
    length_mm,
    rate_per_s,
    share,
    speed_mm_per_s,
    time_s,
)

LIGHT = (
    PlanOption(
        name="light",
        metavar="LIGHT",
        read=read_light,
        default="800 lx",
        within=Within(-20.0, 1e7, "some light that there is"),
        about=f"Light at the face: {LIGHTS} (a meter's reading at the face, also 'flash f/8'). "
        "Guide numbers are in metres at ISO 100 ('flash GN 131 ft' is in feet); watt-seconds may "
        "name what the flash shines through, 'flash 400 Ws softbox', and are an estimate.",
    ),
    PlanOption(
        name="ambient",
        metavar="EV",
        read=exposure_value_ev,
        within=Within(-20.0, 25.0, "EV -20 to EV 25"),
        about="With flash: the room's light at the face, such as 'EV 5'. [default: a dark room]",
    ),
    PlanOption(
        name="flash-distance",
        metavar="LENGTH",
        read=length_mm,
        within=DISTANCES,
        about="Flash to face, such as 1.5m. [default: as far as the camera]",
    ),
    PlanOption(
        name="flash-duration",
        metavar="TIME",
        read=time_s,
        within=TIMES,
        about="How long the flash glows at full power (t.1), such as 1/300. [default: a usual one]",
    ),
    PlanOption(
        name="high-speed-sync",
        metavar="",
        read=yes_or_no,
        about="Whether the flash may pulse through times shorter than the sync limit, at its loss.",
    ),
    PlanOption(
        name="source-size",
        metavar="LENGTH",
        read=length_mm,
        within=DISTANCES,
        about="Diameter of the light as the face sees it, such as 80cm: for how hard it is.",
    ),
    PlanOption(
        name="source-distance",
        metavar="LENGTH",
        read=length_mm,
        within=DISTANCES,
        about="Its distance from the face. [default: that of the flash]",
    ),
)
CHOICE = (
    PlanOption(
        name="f-number",
        metavar="F",
        read=f_number,
        within=APERTURES,
        about="Settle the aperture: f/2.8 or 2.8.",
    ),
    PlanOption(
        name="shutter",
        metavar="TIME",
        read=time_s,
        within=TIMES,
        about="Settle the shutter time: 1/250, 1/250s, 0.5s or 4ms.",
    ),
    PlanOption(
        name="iso",
        metavar="ISO",
        read=iso_speed,
        within=ISOS,
        about="Settle the ISO: 400 or ISO 400.",
    ),
    PlanOption(
        name="tripod",
        metavar="",
        read=yes_or_no,
        about="Whether the camera stands on a tripod.",
    ),
)
SITTER = (
    PlanOption(
        name="distance",
        metavar="LENGTH",
        read=length_mm,
        within=DISTANCES,
        about="Lens to the near eye, such as 2m, 6ft or 6ft 2in; instead of a framing.",
    ),
    PlanOption(
        name="framing",
        metavar="WORD",
        read=word("head", "head-and-shoulders", "half", "full"),
        about="How much of the sitter fills the frame's height: head, head-and-shoulders, half or "
        "full. [default: head-and-shoulders, unless there is a distance]",
    ),
    PlanOption(
        name="yaw",
        metavar="DEG",
        read=angle_deg,
        default="0",
        within=Within(0.0, 90.0, "0 to 90 degrees"),
        about="How far the head is turned from the lens, in degrees.",
    ),
    PlanOption(
        name="background",
        metavar="LENGTH",
        read=length_mm,
        within=DISTANCES,
        about="Near eye to background, such as 1.2m.",
    ),
    PlanOption(
        name="eyes",
        metavar="near|both",
        read=word("near", "both"),
        default="near",
        keeps="client",
        about="Which eyes must hold the print: near or both.",
    ),
)
GROUP = (
    PlanOption(
        name="distance",
        metavar="LENGTH",
        read=length_mm,
        default="3.5m",
        within=DISTANCES,
        about="Lens to the eyes of the front row, such as 3.5m or 12ft.",
    ),
    PlanOption(
        name="rows",
        metavar="N",
        read=whole,
        default="2",
        within=Within(1.0, 12.0, "1 to 12", "whole"),
        about="How many rows.",
    ),
    PlanOption(
        name="row-spacing",
        metavar="LENGTH",
        read=length_mm,
        default="60cm",
        within=Within(1.0, 1e5, "1 mm to 100 m"),
        about="Depth from row to row, eyes to eyes, such as 60cm.",
    ),
    PlanOption(
        name="faces-per-row",
        metavar="N",
        read=whole,
        default="4",
        within=Within(1.0, 40.0, "1 to 40", "whole"),
        about="How many faces in a row.",
    ),
    PlanOption(
        name="face-spacing",
        metavar="LENGTH",
        read=length_mm,
        default="55cm",
        within=Within(50.0, 1e5, "5cm to 100m"),
        about="From face to face in a row, such as 55cm.",
    ),
    PlanOption(
        name="standing",
        metavar="",
        read=yes_or_no,
        about="Whether the rows behind stand while the front row sits. [default: standing]",
    ),
    PlanOption(
        name="lean",
        metavar="",
        read=yes_or_no,
        about="Whether people may lean towards the focus plane. [default: no-lean]",
    ),
    PlanOption(
        name="arc",
        metavar="LENGTH",
        read=length_mm,
        within=Within(100.0, 1e6, "10cm to 1 km"),
        about="Radius of the curve on which each row stands, its middle farthest from the camera, "
        "such as 3m. [default: straight rows]",
    ),
)
BURST = (
    PlanOption(
        name="lean",
        metavar="SPEED",
        read=speed_mm_per_s,
        default="4 cm/s",
        within=Within(0.1, 500.0, "0.1 mm/s to 50 cm/s", "ratio"),
        about="How fast you lean towards the sitter, such as '4 cm/s'.",
    ),
    PlanOption(
        name="frame-rate",
        metavar="N",
        read=rate_per_s,
        default="8",
        within=Within(0.1, 120.0, "0.1 to 120 a second"),
        about="How many frames a second the camera takes, such as 8.",
    ),
    PlanOption(
        name="caught",
        metavar="WORD",
        read=word("iris", "lashes", "brow", "glasses"),
        default="iris",
        about="What autofocus catches: iris, lashes, brow, glasses.",
    ),
    PlanOption(
        name="chance",
        metavar="SHARE",
        read=share,
        default="95%",
        within=Within(0.01, 0.9999, "1% to 99.99%"),
        about="How sure you want to be that at least one frame holds, such as 95%.",
    ),
)
# A group is wide: with the usual lens of one sitter four a row would not be in the frame.
GROUP_KIT = tuple(
    replace(one, default="50mm") if one.name == "focal-length" else one for one in KIT
)
TABLES = {
    "sitter": (*SITTER, *KIT, *CLIENT, *LIGHT, *CHOICE),
    "group": (*GROUP, *GROUP_KIT, *CLIENT, *LIGHT, *CHOICE),
    "burst": (*BURST, *SITTER, *KIT, *CLIENT, *LIGHT, *CHOICE),
}
KEPT = {option.name: option for option in (*KIT, *CLIENT, *SITTER) if option.keeps}
