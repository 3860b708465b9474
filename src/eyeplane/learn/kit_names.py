"""How kits are called by what their files say."""

from collections.abc import Collection


def kit_name(kit: tuple[str, str, str, str]) -> str:
    """Return how a kit is called.

    Parameters
    ----------
    kit : tuple of str
        Body, its serial number, lens, its serial number.

    Returns
    -------
    str
        "body with lens", without serial numbers; "this camera" where the file says nothing.
    """
    body, _, lens, _ = kit
    return f"{body or 'this camera'} with {lens}" if lens else body or "this camera"


def kit_names(
    kits: Collection[tuple[str, str, str, str]],
) -> dict[tuple[str, str, str, str], str]:
    """Return the names of several kits.

    Parameters
    ----------
    kits : collection of tuple of str
        Body, its serial number, lens, its serial number, each once.

    Returns
    -------
    dict
        As `kit_name` has them, with the ends of serial numbers where two are of the same make.
    """
    plain = {kit: kit_name(kit) for kit in kits}
    names = list(plain.values())
    named = {}
    for kit, name in plain.items():
        numbers = " and ".join(number[-4:] for number in (kit[1], kit[3]) if number)
        twice = names.count(name) > 1 and numbers
        named[kit] = f"{name} (…{numbers})" if twice else name
    return named
