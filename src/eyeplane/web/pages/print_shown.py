"""What the page of a print shows, worked out: pictures at true size, and where to sit."""

from dataclasses import dataclass

from eyeplane.deliver.true_size import sit_at_cm
from eyeplane.records import FrameReading
from eyeplane.web.pages.eyes_print import PieceAsked
from eyeplane.web.pages.screen import VisitorScreen

# Room for a picture in CSS px, width and height, and the least width of the page that gives it.
ROOMS = ((1100, 1000, 560), (700, 640, 440), (390, 352, 264), (0, 284, 213))
SHARPEST_RATIO = 3  # of screen pixels to CSS px that pictures are offered for


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture at one width of the page.

    Attributes
    ----------
    from_px : int
        Least width of the page, CSS px; 0 for the smallest.
    width_px, height_px : int
        CSS px on the page.
    sources : str
        Addresses for screens of one, two and three pixels to a CSS px.
    source : str
        The first of them.
    asked : PieceAsked
        What the first of them asks for.
    """

    from_px: int
    width_px: int
    height_px: int
    sources: str
    source: str
    asked: PieceAsked


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """The whole print as it looks on this screen, at one width of the page.

    Attributes
    ----------
    picture : Picture
        All of the frame.
    fits : bool
        Whether it is shown as large as the client sees it from where the visitor sits.
    sit_cm : float
        How far from the screen it looks as large as the print does to the client.
    like_cm : float
        From how far the print looks as large as this does from where the visitor sits.
    """

    picture: Picture
    fits: bool
    sit_cm: float
    like_cm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintSeen:
    """A print as it is to be seen.

    Attributes
    ----------
    reading : FrameReading
        The frame.
    face : int or None
        Whose eye.
    address : str
        Of pictures of it, without its query.
    print_cm, from_cm, sit_cm : float
        Long edge of the print, distance of the client from it, of the visitor from this screen.
    at : VisitorScreen
        This screen.
    """

    reading: FrameReading
    face: int | None
    address: str
    print_cm: float
    from_cm: float
    sit_cm: float
    at: VisitorScreen

    def true_size(self) -> tuple[Picture, ...]:
        """Return the near eye as large as on the print.

        Returns
        -------
        tuple of Picture
            For pages of all widths.
        """
        return self._eye(self.at.screen.px_per_mm)

    def same_angle(self) -> tuple[Picture, ...]:
        """Return the near eye as large as it looks to the client, from where the visitor sits.

        Returns
        -------
        tuple of Picture
            For pages of all widths.
        """
        return self._eye(self.at.screen.px_per_mm * self.sit_cm / self.from_cm)

    def whole(self) -> tuple[Whole, ...]:
        """Return the whole print, as large as the client sees it where that fits the page.

        Returns
        -------
        tuple of Whole
            For pages of all widths.
        """
        width_mm, height_mm = size_mm = self.size_mm()
        wanted = self.at.screen.px_per_mm * self.sit_cm / self.from_cm
        made = []
        for from_px, width, height in ROOMS:
            scale = min(wanted, width / width_mm, height / height_mm)
            shown_ratio = scale / self.at.screen.px_per_mm
            made.append(
                Whole(
                    picture=self._picture(from_px, scale, size_mm),
                    fits=scale == wanted,
                    sit_cm=sit_at_cm(self.from_cm, shown_ratio=shown_ratio),
                    like_cm=self.sit_cm / shown_ratio,
                )
            )
        return tuple(made)

    def size_mm(self) -> tuple[float, float]:
        """Return the size of the print.

        Returns
        -------
        tuple of float
            Width and height in mm.
        """
        px_per_mm = max(self.reading.width_px, self.reading.height_px) / (10 * self.print_cm)
        return self.reading.width_px / px_per_mm, self.reading.height_px / px_per_mm

    def _eye(self, px_per_mm: float) -> tuple[Picture, ...]:
        print_mm = self.size_mm()
        made = []
        for from_px, width, height in ROOMS:
            size_mm = (
                min(width / px_per_mm, print_mm[0]),
                min(height / px_per_mm, print_mm[1]),
            )
            made.append(self._picture(from_px, px_per_mm, size_mm))
        return tuple(made)

    def _picture(self, from_px: int, px_per_mm: float, size_mm: tuple[float, float]) -> Picture:
        # Whole CSS px, and just the piece of the print that they show.
        width, height = (max(16, int(mm * px_per_mm + 1e-6)) for mm in size_mm)
        asked = [
            PieceAsked(
                print_cm=self.print_cm,
                width_mm=width / px_per_mm,
                width_px=width * ratio,
                height_px=height * ratio,
                face=self.face,
            )
            for ratio in range(1, SHARPEST_RATIO + 1)
        ]
        version = self.reading.sha256[:12]
        addresses = [f"{self.address}?{one.query(version=version)}" for one in asked]
        return Picture(
            from_px=from_px,
            width_px=width,
            height_px=height,
            sources=", ".join(f"{one} {k}x" for k, one in enumerate(addresses, 1)),
            source=addresses[0],
            asked=asked[0],
        )
