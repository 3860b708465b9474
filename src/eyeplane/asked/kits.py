"""The photographer's kit table: pixel pitch of bodies whose files do not tell it."""

import tomllib
from pathlib import Path

import platformdirs

from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.records import MeasureSettings

LEAST_UM, MOST_UM = 0.5, 30.0  # phones have 0.6, the coarsest backs 12: outside is a slip of unit


def kit_file() -> Path:
    """Return where the kit table lies.

    Returns
    -------
    Path
        In the user's own folder for settings; it need not exist.
    """
    return platformdirs.user_config_path("eyeplane") / "kits.toml"


def kit_settings() -> MeasureSettings:
    """Return how frames of this photographer's kits are measured.

    Returns
    -------
    MeasureSettings
        With the kit table.

    Raises
    ------
    InputError
        If the table cannot be read.
    """
    return MeasureSettings(kit_pitch_um=kit_pitches_um(kit_file()))


def kit_pitches_um(path: Path) -> tuple[tuple[str, float], ...]:
    """Return the kit table.

    Parameters
    ----------
    path : Path
        A TOML file with a table ``[pitch_um]`` of body names, as their files give them, and
        distances of pixel centres in micrometres.

    Returns
    -------
    tuple of (str, float)
        Sorted by body; empty where there is no such file.

    Raises
    ------
    InputError
        If the file cannot be read or an entry is no such number.
    """
    if not path.exists():
        return ()
    where = plain_text(str(path))
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8")).get("pitch_um", {})
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(
            f"the kit table cannot be read ({error})",
            where=where,
            hint="Mend it, or move it away to go on without it",
        ) from error
    if not isinstance(table, dict):
        table = {"pitch_um": table}
    for body, pitch in table.items():
        if isinstance(pitch, bool) or not isinstance(pitch, int | float):
            pitch = float("nan")  # noqa: PLW2901  refused below with the same sentence
        if not LEAST_UM <= pitch <= MOST_UM:
            raise InputError(
                f"{plain_text(body)!r} has no pixel pitch between {LEAST_UM:g} and {MOST_UM:g} µm",
                where=where,
                hint='Write it as "Body name" = 4.35 under [pitch_um]',
            )
    return tuple(sorted((str(body), float(pitch)) for body, pitch in table.items()))
