"""A made-up check that holds everything a check can tell."""

import io

from PIL import Image

from eyeplane.deliver.check_content import (
    CheckContent,
    CheckDrawing,
    CheckPicture,
    CheckReason,
    CheckTable,
)
from eyeplane.deliver.sheet import Letters, Pen, Sheet


def picture_bytes(kind: str) -> bytes:
    """Return a small picture of a kind that Pillow knows."""
    kept = io.BytesIO()
    Image.new("RGB", (320, 200), (200, 190, 180)).save(kept, kind)
    return kept.getvalue()


def draw(width_mm: float, type_mm: float) -> Sheet:
    """Return a line across a sheet with a word at its end."""
    sheet = Sheet(width_mm=width_mm, height_mm=width_mm / 3)
    sheet.line((4, 10), (width_mm - 4, 10), Pen())
    sheet.words((4, 9), "1/125", Letters(size_mm=type_mm))
    return sheet


def check_content() -> CheckContent:
    """Return the content."""
    return CheckContent(
        title="Sensor dust",
        over="Straßenbahnkamera 李 with 85 mm · 3 frames · 4 May 2026",
        sentence="Two shadows would show <at f/16> & one at f/8.",
        advice="Use the blower, mount down.",
        lines=("One of them is new since 2 March.",),
        drawings=(
            CheckDrawing(name="The sensor", spoken="Two discs", draw=draw, note="Facing it."),
            CheckDrawing(name="Depth", spoken="A curve", draw=draw),
        ),
        pictures=(
            CheckPicture(name="First", spoken="A dark spot", image=picture_bytes("PNG")),
            CheckPicture(name="Second", spoken="Another", image=picture_bytes("JPEG"), note="×8"),
        ),
        tables=(
            CheckTable(
                name="Shadows",
                head=("", "size", "depth"),
                rows=(("1", "60 µm (50–70)", "4 %"), ("2", "30 µm", "cannot tell")),
                note="Deepest first.",
            ),
        ),
        reasons=(CheckReason(name="Why we say so", lines=("b = t / (n N).",)),),
        cautions=("Cleaning a sensor can ruin it: blower first.",),
        notes=("One frame was left out.",),
    )
