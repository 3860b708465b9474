"""What noise cost, what a stop of light would give back, and when a scene was simply too dark."""

import math
from dataclasses import dataclass, replace

from eyeplane.diagnose.brightness import brightness_at, stops_under
from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.cause import SMALL_COST
from eyeplane.diagnose.reach import holds, reach_at
from eyeplane.diagnose.remedy import STEP, holding_time_s
from eyeplane.diagnose.still import still_line_px, still_time_s
from eyeplane.diagnose.words import THIN, count_word, f_stop, shutter
from eyeplane.light import F_NUMBERS, SHUTTER_PARTS
from eyeplane.optics import PointSpread
from eyeplane.records import (
    STANDARD_PRINT_CM,
    Finding,
    FrameReading,
    Learned,
    Measured,
)

SURE_COST = 0.03  # of the reach that noise must cost at the low end of its interval too
STOP = 2.0  # a stop is twice the light
SOME_GAIN_CM = 1.0  # what is gained less than this is not worth a word
MOST_STOPS = 8  # more light than this is not asked for: it is another scene
KEPT_GAIN = 0.7  # a longer time must keep this share of a stop's gain not to be called blurring
CLOSE_GAIN = 0.8  # gains within this share of the largest are alike
DEEP_UNDER = 0.5  # stops under at least, from which a face is called under-exposed


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One stop more light on the sensor, and what it brings.

    Attributes
    ----------
    way : {"light", "time", "aperture"}
        Where it comes from.
    name : str
        As it is said: "a stop more light", "1/60 s", "f/2".
    gain_cm : float
        Change of the reach, + longer.
    blurs : bool
        Whether it may bring more blur than there is.
    """

    way: str
    name: str
    gain_cm: float
    blurs: bool


def dark_findings(
    case: FaceCase,
    reading: FrameReading,
    *,
    widest_f_number: float | None = None,
    learned: Learned | None = None,
) -> tuple[Finding, ...]:
    """Return what noise and darkness cost one face.

    Parameters
    ----------
    case : FaceCase
        The face.
    reading : FrameReading
        Its frame: settings and pixel pitch.
    widest_f_number : float or None
        The widest aperture used in the sitting; None: the one of this frame.
    learned : Learned or None
        For how long this photographer and this sitter keep still.

    Returns
    -------
    tuple of Finding
        "dark" where no setting would have held the print, else "noise" where noise cost a tenth
        of the reach; empty for bystanders, where the promised print is held, and where noise or
        reach cannot be told.
    """
    noise = case.reading.noise_contrast
    if not case.sitter or case.reach_cm is None or noise is None:
        return ()
    promised = case.view.print_cm
    if promised is not None and case.reach_cm.value >= promised:
        return ()
    dark = _dark(case, reading, noise, (widest_f_number, learned))
    found = _noise(case, reading, noise, learned)
    if dark is not None:
        found = found and replace(found, advice="")
        return (dark,) if found is None else (dark, found)
    return () if found is None else (found,)


def noise_cost_cm(case: FaceCase, noise: Measured) -> Measured:
    """Return how much of its reach a face lost to noise.

    Parameters
    ----------
    case : FaceCase
        The face; its blur's interval comes in.
    noise : Measured
        Noise contrast at it.

    Returns
    -------
    Measured
        Reach of the same blur without noise less the reach with it, in cm; the parts that noise
        and blur leave open are added as squares.
    """

    def cost(spread: PointSpread, contrast: float) -> float:
        return reach_at(spread, 0.0, case.view) - reach_at(spread, max(contrast, 0.0), case.view)

    size = case.eye.blur.size_px
    spread = case.spread
    value = cost(spread, noise.value)
    ends = [cost(spread, noise.low), cost(spread, noise.high)]
    if size is not None and size.value > 0:
        shares = (size.high / size.value, max(size.low, 0.0) / size.value)
        ends += [cost(_scaled(spread, share), noise.value) for share in shares]
    down = math.hypot(*(max(value - e, 0.0) for e in ends))
    up = math.hypot(*(max(e - value, 0.0) for e in ends))
    return Measured(value=value, low=max(value - down, 0.0), high=value + up)


def stops_of(
    case: FaceCase, reading: FrameReading, *, learned: Learned | None = None
) -> tuple[Stop, ...]:
    """Return what one more stop would bring, by where it comes from.

    Parameters
    ----------
    case : FaceCase
        The face.
    reading : FrameReading
        For aperture, time and flash.
    learned : Learned or None
        For how still this photographer and this sitter keep.

    Returns
    -------
    tuple of Stop
        Light first; time only without flash and where no motion was seen; an aperture only if
        lenses are made with it.

    Notes
    -----
    Twice the light makes photon noise 1 / √2 of what it was over the signal, at half the ISO.
    A longer time adds the line that hand and still sitter draw meanwhile. Blur at the eye is a
    disc of missed focus as far as can be told, which grows with 1 / N.
    """
    exif = reading.exposure
    less = case.noise / math.sqrt(STOP)
    now = reach_at(case.spread, case.noise, case.view)
    gain = reach_at(case.spread, less, case.view) - now
    light = "a stop more flash" if exif.flash_fired else "a stop more light"
    found = [Stop(way="light", name=light, gain_cm=gain, blurs=False)]
    time, used = _twice(exif.exposure_time_s), exif.exposure_time_s
    if time is not None and used and not exif.flash_fired and not _moved(case):
        line = still_line_px(case, reading, learned=learned, supported=False)
        moved = replace(case.spread, line_px=line * math.sqrt(time**2 - used**2))
        longer = reach_at(moved, less, case.view) - now
        blurs = longer < KEPT_GAIN * gain
        found.append(Stop(way="time", name=shutter(time), gain_cm=longer, blurs=blurs))
    wider = _wider(exif.f_number)
    if wider is not None and exif.f_number:
        grown = replace(case.spread, disc_px=case.spread.disc_px * exif.f_number / wider)
        opened = reach_at(grown, less, case.view) - now
        soft = case.eye.blur.kind not in ("none", "line")
        found.append(Stop(way="aperture", name=f_stop(wider), gain_cm=opened, blurs=soft))
    return tuple(found)


def _noise(
    case: FaceCase, reading: FrameReading, noise: Measured, learned: Learned | None
) -> Finding | None:
    cost = noise_cost_cm(case, noise)
    free = case.reach_without_noise_cm
    if cost.value < SMALL_COST * free or cost.low < SURE_COST * free or cost.value < SOME_GAIN_CM:
        return None
    iso = reading.exposure.iso
    who = "Grain" if not iso else f"ISO{THIN}{iso:.0f}"
    span = f"{cost.low:.0f}–{cost.high:.0f}"
    text = f"{who} cost {_cm(cost.value)} ({span}) of {_cm(free)}."
    under = stops_under(case.reading.level)
    if under >= DEEP_UNDER:
        text += f" The face is under-exposed, by {_stops(under)} at least, which shows the grain."
    ways = [s for s in stops_of(case, reading, learned=learned) if s.gain_cm >= SOME_GAIN_CM]
    if not ways:
        return Finding(kind="noise", text=text)
    return Finding(kind="noise", text=f"{text} {_list(ways)}", advice=_advice(ways, reading))


def _list(ways: list[Stop]) -> str:
    """Return what each way gives back; more light is always the first."""
    parts = [f"{s.name} {_cm(s.gain_cm)}" for s in ways[1:]]
    first = f"{ways[0].name[:1].upper()}{ways[0].name[1:]} would give back {_cm(ways[0].gain_cm)}"
    return ", ".join([first, *parts]) + "."


def _advice(ways: list[Stop], reading: FrameReading) -> str:
    """Return the stop that gains most without more blur; among like ones that without a lamp."""
    order = ("time", "aperture", "light")
    clear = [s for s in ways if not s.blurs]
    if not clear:
        return ""
    most = max(s.gain_cm for s in clear)
    close = [s for s in clear if s.gain_cm >= CLOSE_GAIN * most]
    best = min(close, key=lambda s: order.index(s.way))
    iso = reading.exposure.iso
    half = f" at ISO{THIN}{iso / STOP:.0f}" if iso else " at half the ISO"
    if best.way == "time":
        used = shutter(reading.exposure.exposure_time_s or 0.0)
        return (
            f"Use {best.name} instead of {used}{half}; it gives up half of what you have in hand "
            f"against motion."
        )
    if best.way == "aperture":
        used = f_stop(reading.exposure.f_number or 0.0)
        return (
            f"Use {best.name} instead of {used}{half}, if the lens opens so far; it gives up "
            f"three tenths of the depth of field."
        )
    blur = "; grain prints better than blur, so leave the shutter time" if _risky(ways) else ""
    return f"Give the face {best.name}{half}: a lower ISO alone changes nothing{blur}."


def _risky(ways: list[Stop]) -> bool:
    return not any(s.way == "time" and not s.blurs for s in ways)


def _dark(
    case: FaceCase,
    reading: FrameReading,
    noise: Measured,
    about: tuple[float | None, Learned | None],
) -> Finding | None:
    """Return that the scene was too dark, where no setting would have held the print."""
    exif = reading.exposure
    goal = case.view.print_cm or STANDARD_PRINT_CM
    if not (exif.f_number and exif.exposure_time_s and exif.iso):
        return None
    if not holds(case.spread, 0.0, case.view, goal) or holds(
        case.spread, noise.low, case.view, goal
    ):
        return None
    widest, learned = about
    aperture = min(exif.f_number, widest or exif.f_number)
    time = _longest(case, reading, goal, learned)
    more = time / exif.exposure_time_s * (exif.f_number / aperture) ** 2

    def held(stops: int, contrast: float) -> bool:
        return holds(case.spread, contrast / math.sqrt(more * STOP**stops), case.view, goal)

    if held(0, noise.low):
        return None
    stops = next((n for n in range(1, MOST_STOPS + 1) if held(n, noise.value)), None)
    need = f"more than {count_word(MOST_STOPS)} stops" if stops is None else _stops(stops)
    light = "flash" if exif.flash_fired else "light"
    even = ""
    if more > STEP:
        even = f", even at {f_stop(aperture)} and {shutter(time)}"
    text = (
        f"Too dark for {_cm(goal)}{_brightness(case, reading)}; "
        f"it needs {need} more {light}{even}, whatever the ISO."
    )
    return Finding(kind="dark", text=text, advice=_lamp(stops, flash=bool(exif.flash_fired)))


def _brightness(case: FaceCase, reading: FrameReading) -> str:
    bright = brightness_at(reading.exposure, case.reading.level)
    if bright is None:
        return ""
    ev, lux = bright.exposure_ev, bright.light_lux
    spread = (ev.high - ev.low) / 2
    doubt = "a stop" if spread <= 1 else f"{spread:g} stops"
    return (
        f": by the settings about EV{THIN}{ev.value:.0f} at the face, some "
        f"{_round(lux.value)}{THIN}lx, give or take {doubt}"
    )


def _longest(
    case: FaceCase, reading: FrameReading, goal_cm: float, learned: Learned | None
) -> float:
    """Return the longest time that can be used: the one used, if flash lit it or nothing moved."""
    used = reading.exposure.exposure_time_s or 0.0
    if reading.exposure.flash_fired:
        return used
    if _moved(case):
        return min(used, holding_time_s(case, reading) or used)
    return max(used, still_time_s(case, reading, goal_cm, learned=learned) or used)


def _lamp(stops: int | None, *, flash: bool) -> str:
    what = "the flash" if flash else "a lamp"
    caution = "" if flash else " Put a sandbag on its stand, and mind that modelling lamps are hot."
    if stops == 1:
        return f"Bring {what} to seven tenths of its distance, which gives a stop.{caution}"
    more = "" if stops == 2 else ", and add more"
    return f"Bring {what} to half its distance, which gives two stops{more}.{caution}"


def _moved(case: FaceCase) -> bool:
    return case.motion is not None or case.eye.blur.kind == "line"


def _scaled(spread: PointSpread, ratio: float) -> PointSpread:
    return replace(spread, disc_px=spread.disc_px * ratio, line_px=spread.line_px * ratio)


def _twice(time_s: float | None) -> float | None:
    if not time_s or 1.0 / time_s < SHUTTER_PARTS[0] * STOP:
        return None
    return 1.0 / min(SHUTTER_PARTS, key=lambda part: abs(math.log(part * time_s * STOP)))


def _wider(f_number: float | None) -> float | None:
    if not f_number or f_number / math.sqrt(STOP) < F_NUMBERS[0] / STEP:
        return None
    return min(F_NUMBERS, key=lambda n: abs(math.log(n * math.sqrt(STOP) / f_number)))


def _cm(value_cm: float) -> str:
    return f"{value_cm:.0f}{THIN}cm" if value_cm >= 1 else f"under 1{THIN}cm"


def _round(lux: float) -> str:
    """Return a rough number with one figure above 10."""
    if lux < 10:
        return f"{lux:.1g}"
    step = 10 ** math.floor(math.log10(lux))
    return f"{round(lux / step) * step:.0f}"


def _stops(stops: float) -> str:
    whole = math.floor(stops)
    if abs(stops - whole) < 0.25:
        return "one stop" if whole == 1 else f"{count_word(whole)} stops"
    half = math.floor(2 * stops) / 2
    return "half a stop" if half < 1 else ("one stop" if half == 1 else f"{half:g} stops")
