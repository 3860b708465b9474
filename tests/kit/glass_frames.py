"""Frames taken through glass that scatters, made in linear light. Arrays are [y, x].

Glare spread functions are densities over the radius, in shares of the long edge; nothing of the
project's own kernels is used. Light that lands outside of the larger scene is lost.
"""

import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import fft

from eyeplane.kit.glass_light import FrameLight, shrunk

Array = NDArray[np.float64]
Glare = Callable[[Array], Array]
Curve = Callable[[Array], Array]

MARGIN = 0.1  # of the scene around the frame, on each side
FAR = 0.7  # of the long edge: nothing is scattered farther
HALO, VEIL = 0.01, 0.1  # where halo and veil begin, as the check says


def lorentz(width: float, power: float = 1.0) -> Glare:
    """Return a power of a Lorentzian.

    Bitlis, Jansson and Allebach, "Parametric point spread function modeling and reduction of stray
    light effects in digital still cameras", Proc. SPIE 6498, 2007 (form from memory).
    """
    return lambda r: np.asarray((1 + (r / width) ** 2) ** -power)


def exponentials(*parts: tuple[float, float]) -> Glare:
    """Return a sum of exponentials (share, width): scatter in a layer. From memory, no source."""
    return lambda r: np.asarray(sum(a * np.exp(-r / w) / (2 * np.pi * w * w) for a, w in parts))


def scatter_law(shoulder: float, power: float) -> Glare:
    """Return 1 / (B + r^g), the ABg law of scatter from surfaces.

    Pfisterer, "Approximated scatter models for stray light analysis", 2011; Stover, "Optical
    Scattering", 3rd edition 2012 (both from memory).
    """
    return lambda r: np.asarray(1 / (shoulder + r**power))


def eye_like(degrees: float) -> Glare:
    """Return the shape of the eye's own glare, 10/θ³ + 5/θ²: an analogy, since glass has its own.

    CIE 146:2002, general disability glare without its age term (from memory); the long edge
    subtends so many degrees.
    """

    def density(r: Array) -> Array:
        angle = np.maximum(r * degrees, 0.1)
        return np.asarray(10 / angle**3 + 5 / angle**2)

    return density


def even() -> Glare:
    """Return a glare that is the same everywhere: the veil of ISO 9358."""
    return np.ones_like


GLARES = {
    "lorentz": lorentz(0.02),
    "lorentz 1.5": lorentz(0.04, 1.5),
    "lorentz 1.3": lorentz(0.02, 1.3),
    "exponentials": exponentials((0.5, 0.01), (0.5, 0.15)),
    "exponential": exponentials((1.0, 0.03)),
    "scatter 2": scatter_law(1e-4, 2.0),
    "scatter 1.5": scatter_law(1e-3, 1.5),
    "eye": eye_like(25.0),
    "even": even(),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taken:
    """A clean and a veiled frame of one scene, and what is true of them.

    The whole is the veiled scene that the frame is cut from.
    """

    clean: Array
    veiled: Array
    whole: Array
    veil_share: float
    halo_share: float
    cover: Array


def taken_through(scene: Array, glare: Glare, cover: float | Array) -> Taken:
    """Return a scene without and with glass that scatters a share of its light."""
    shares = np.broadcast_to(np.asarray(cover, float), scene.shape)
    size = tuple(fft.next_fast_len(2 * side) for side in scene.shape)
    long_px = max(scene.shape) * (1 - 2 * MARGIN)
    down, across = (np.minimum(np.arange(n), n - np.arange(n)) for n in size)
    radius = np.hypot(down[:, None], across[None]) / long_px
    kernel = np.where(radius <= FAR, glare(radius), 0.0)
    kernel /= kernel.sum()
    light = fft.rfft2(shares * scene, size)
    rows, columns = scene.shape

    def spread(part: Array) -> Array:
        return np.asarray(fft.irfft2(light * fft.rfft2(part), size)[:rows, :columns])

    far = spread(np.where(radius > VEIL, kernel, 0.0))
    near = spread(np.where((radius > HALO) & (radius <= VEIL), kernel, 0.0))
    veiled = (1 - shares) * scene + np.maximum(spread(kernel), 0.0)
    total = cut(veiled).mean()
    return Taken(
        clean=cut(scene),
        veiled=cut(veiled),
        whole=veiled,
        veil_share=float(cut(far).mean() / total),
        halo_share=float(cut(near).mean() / total),
        cover=cut(np.array(shares)),
    )


def cut(scene: Array) -> Array:
    """Return the frame within a scene."""
    rows, columns = (int(side * MARGIN) for side in scene.shape)
    return scene[rows : scene.shape[0] - rows, columns : scene.shape[1] - columns]


def texture(shape: tuple[int, int], rng: np.random.Generator, depth: float, power: float) -> Array:
    """Return light that varies as natural surfaces do, 1/f^power, around 1."""
    rows, columns = shape
    frequency = np.hypot(np.fft.fftfreq(rows)[:, None], np.fft.rfftfreq(columns)[None])
    frequency[0, 0] = 1.0
    waves = np.fft.rfft2(rng.standard_normal(shape)) / frequency**power
    field = np.fft.irfft2(waves, shape)
    return np.asarray(np.exp(depth * field / field.std()))


def room(rng: np.random.Generator, shape: tuple[int, int] = (600, 900)) -> Array:
    """Return a dark room with a window in it."""
    rows, columns = shape
    scene = np.minimum(0.06 * texture(shape, rng, 0.6, 1.2), 0.8)
    left, top = int(columns * rng.uniform(0.2, 0.6)), int(rows * rng.uniform(0.15, 0.4))
    window = (rows // 3, columns // 5)
    place = (slice(top, top + window[0]), slice(left, left + window[1]))
    scene[place] = np.minimum(0.75 * texture(window, rng, 0.05, 1.0), 0.84)
    return np.asarray(scene)


def lamp_on_dark(
    rng: np.random.Generator,
    *,
    peak: float = 0.8,
    radius: float = 0.012,
    shape: tuple[int, int] = (750, 1125),
) -> Array:
    """Return a small lamp on a dark, distant ground."""
    rows, columns = shape
    ground = 0.0015 * texture(shape, rng, 0.4, 1.2)
    down, across = np.mgrid[0:rows, 0:columns] + 0.5
    middle = (rng.uniform(0.42, 0.58) * rows, rng.uniform(0.42, 0.58) * columns)
    away = np.hypot(down - middle[0], across - middle[1])
    lamp = np.where(away < radius * columns, peak, ground)
    return np.asarray(cv2.GaussianBlur(lamp, (0, 0), 0.8), float)


def smudge(shape: tuple[int, int], at: tuple[float, float], radius: float, depth: float) -> Array:
    """Return the share of light that a soft-edged smudge scatters, place by place."""
    rows, columns = shape
    down, across = np.mgrid[0:rows, 0:columns] + 0.5
    away = np.hypot(across - at[0] * columns, down - at[1] * rows)
    wide = radius * max(shape)
    return np.asarray(depth / (1 + np.exp((away - wide) / (0.15 * wide))))


def straight(light: Array) -> Array:
    """Return light as it is."""
    return light


def soft_shoulder(light: Array) -> Array:
    """Return a mild camera style: power 1.15 in the shadows, a shoulder above. Our own."""
    top = 1 / (1 + 0.7**1.15)
    return np.asarray(light**1.15 / (light**1.15 + 0.7**1.15) / top)


def film_like(light: Array) -> Array:
    """Return a contrasty film-like style.

    Narkowicz, "ACES filmic tone mapping curve", 2016: a published rational fit (from memory).
    """

    def curve(x: Array) -> Array:
        return np.asarray((x * (2.51 * x + 0.03)) / (x * (2.43 * x + 0.59) + 0.14))

    return np.asarray(curve(0.8 * light) / curve(np.array(0.8)))


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassCamera:
    """A camera on a stand that is touched between two frames.

    One that cuts is given the whole scene: at the border of a moved frame then is what lies there,
    otherwise the frame goes on mirrored, which draws the laying over by a pixel.
    """

    gain: float = 1.0
    curve: Curve = straight
    noise: float = 0.003
    quality: int = 93
    shift: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
    cuts: bool = False

    def codes(self, light: Array, rng: np.random.Generator) -> NDArray[np.uint8]:
        """Return a frame as the camera's JPEG has it, [y, x]."""
        rows, columns = light.shape
        warp = cv2.getRotationMatrix2D((columns / 2, rows / 2), self.turn_deg, 1.0)
        framed = columns * (1 - 2 * MARGIN) if self.cuts else columns
        warp[:, 2] += np.array(self.shift) * framed
        moved = cv2.warpAffine(
            light, warp, (columns, rows), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT
        )
        moved = cut(np.asarray(moved)) if self.cuts else moved
        exposed = np.maximum(np.asarray(moved, float), 0) * self.gain
        exposed += self.noise * rng.standard_normal(moved.shape) * np.sqrt(0.02 + 2 * exposed)
        shown = np.clip(self.curve(np.clip(exposed, 0, 1)), 0, 1)
        encoded = np.where(
            shown <= 0.0031308, 12.92 * shown, 1.055 * np.maximum(shown, 1e-9) ** (1 / 2.4) - 0.055
        )  # IEC 61966-2-1
        codes = np.rint(255 * encoded).astype(np.uint8)
        stored = io.BytesIO()
        Image.fromarray(codes).save(stored, "JPEG", quality=self.quality)
        return np.asarray(Image.open(stored))

    def light(self, light: Array, rng: np.random.Generator) -> FrameLight:
        """Return a frame as the check reads it."""
        codes = self.codes(light, rng)
        part = codes / 255.0
        linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
        step = max(1, round(max(codes.shape) / 1200))
        clipped = (codes >= 250).astype(float)
        return FrameLight(
            luma=shrunk(linear, step),
            known=shrunk(clipped, step) <= 0.02,
            clipped_share=float(clipped.mean()),
        )

    def write(self, path: Path, light: Array, rng: np.random.Generator, **exif: object) -> Path:
        """Write a frame with what the camera says about it."""
        codes = self.codes(light, rng)
        told: dict[str, object] = {
            "body": "Body One", "lens": "85 mm", "f_number": 2.8, "focal_length_mm": 85.0
        }  # fmt: skip
        told.update(exif)
        tags = Image.Exif()
        if told["body"]:
            tags[271], tags[272] = "Maker", told["body"]
        inner = tags.get_ifd(0x8769)
        for name, tag in (("lens", 42036), ("f_number", 33437), ("focal_length_mm", 37386)):
            if told[name]:
                inner[tag] = told[name]
        Image.fromarray(np.repeat(codes[..., None], 3, axis=2)).save(
            path, "JPEG", quality=self.quality, subsampling=0, exif=tags
        )
        return path
