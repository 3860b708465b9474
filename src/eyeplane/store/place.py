"""Where the store lies unless the photographer says otherwise."""

from pathlib import Path

import platformdirs


def default_store_path() -> Path:
    """Return the file that holds all readings of this user.

    Returns
    -------
    Path
        In the user's own data folder; need not exist yet.
    """
    return platformdirs.user_data_path("eyeplane", appauthor=False) / "readings.sqlite3"
