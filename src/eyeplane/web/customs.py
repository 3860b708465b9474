"""What people of a region are used to, by the languages that their browser names."""

import re

from eyeplane.web.figures import Decimal, Figures, Lengths

# Regions with US measures (Unicode CLDR, supplemental data, measurementSystem "US"; from memory).
INCH_REGIONS = frozenset(("US", "LR", "MM"))
# Languages whose numbers have a decimal comma (CLDR, numbers, latn decimal; from memory) ...
COMMA_LANGUAGES = re.compile(
    "af|az|be|bg|bs|ca|cs|da|de|el|es|et|eu|fi|fo|fr|gl|hr|hu|hy|id|is|it|ka|kk|kl|ky|lt|lv|mk|nb|"
    "nl|nn|no|pl|pt|ro|ru|sk|sl|sq|sr|sv|tr|tk|uk|uz|vi"
)
# ... and where the same languages have a point (CLDR, from memory).
POINT_PLACES = re.compile("(?:de|it)-CH|de-LI|es-(?:419|MX|US|PR|DO|GT|HN|NI|PA|PE|SV)")
PLACE = re.compile(r"([A-Za-z]{2,3})(?:-[A-Za-z]{4})?(?:-([A-Za-z]{2}|\d{3}))?(?:-[\w-]*)?")
MOST = 400  # characters of the header that are read; browsers send far less


def customary(accept_language: str) -> Figures:
    """Return numbers as they are usual where somebody comes from.

    Parameters
    ----------
    accept_language : str
        The header of that name (RFC 9110, section 12.5.4); anything at all.

    Returns
    -------
    Figures
        By the language that is wanted most; cm and the point where nothing is known of it.

    Examples
    --------
    >>> customary("de-AT,de;q=0.9,en-US;q=0.8")
    Figures(lengths='cm', decimal='comma')
    >>> customary("en-US,en;q=0.5").lengths
    'inch'
    """
    language, region = _most_wanted(accept_language)
    lengths: Lengths = "inch" if region in INCH_REGIONS else "cm"
    place = f"{language}-{region}"
    comma = COMMA_LANGUAGES.fullmatch(language) and not POINT_PLACES.fullmatch(place)
    decimal: Decimal = "comma" if comma else "point"
    return Figures(lengths=lengths, decimal=decimal)


def _most_wanted(accept_language: str) -> tuple[str, str]:
    best, found = 0.0, ("", "")
    for entry in accept_language[:MOST].split(","):
        tag, _, weight = entry.partition(";")
        named = PLACE.fullmatch(tag.strip())
        share = _weight(weight)
        if named and share > best:
            best, found = share, (named[1].lower(), (named[2] or "").upper())
    return found


def _weight(text: str) -> float:
    given = re.fullmatch(r"\s*q=([01](?:\.\d{0,3})?)\s*", text)
    return 1.0 if not text.strip() else float(given[1]) if given else 0.0
