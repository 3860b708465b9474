"""Cautions that apply to a plan, in the words of the report's."""

INFANT_YEARS = 2.0  # years; under these a flash startles most; from memory
NEWBORN_YEARS = 0.25  # years; a baby that is laid and propped; from memory
STOOL_YEARS = 0.5  # younger ones sit on none; from memory
CHILD_YEARS = 10.0  # years; under these a stool wants an adult beside it; from memory
GROWN_YEARS = 18.0  # years; a child is anybody under these: UN Convention on their rights, art. 1

FLASH = (
    "Repeated flash can harm photosensitive people: ask before you use it, and never fire it "
    "more than three times a second."
)
STARTLE = (
    "Flash startles infants: fire the first one away from the face. Whether flash suits a newborn "
    "is a doctor's matter."
)
NEWBORN = "A newborn has a spotter's hand on it, always."
STOOL = "A child on a stool has an adult beside it."
GUARDIAN = (
    "Children are posed with their guardian present, and frames of them stay on this machine."
)
STANDS = (
    "Sandbags on stands and booms, cables taped down and out of the walkway; modelling lamps are "
    "hot."
)
MOVES = (
    "Nobody leans on furniture or stands on it to reach a focus plane; look behind you as you step."
)


def cautions(
    *,
    flash: bool = False,
    stands: bool = False,
    moves: bool = False,
    age_years: float | None = None,
) -> tuple[str, ...]:
    """Return the cautions that apply, in whole sentences.

    Parameters
    ----------
    flash : bool
        Whether flash is planned or advised.
    stands : bool
        Whether anything stands on a stand or hangs on a boom: a light, planned or advised.
    moves : bool
        Whether somebody is to step, lean or be seated anew.
    age_years : float or None
        Of the youngest; None: adults.

    Returns
    -------
    tuple of str
        Perhaps none.

    Examples
    --------
    >>> cautions(age_years=4)[0]
    'A child on a stool has an adult beside it.'
    """
    said = []
    if flash:
        said.append(FLASH)
    if flash and age_years is not None and age_years < INFANT_YEARS:
        said.append(STARTLE)
    if age_years is not None and age_years < NEWBORN_YEARS:
        said.append(NEWBORN)
    if age_years is not None and STOOL_YEARS <= age_years < CHILD_YEARS:
        said.append(STOOL)
    if age_years is not None and age_years < GROWN_YEARS:
        said.append(GUARDIAN)
    if stands:
        said.append(STANDS)
    if moves:
        said.append(MOVES)
    return tuple(said)
