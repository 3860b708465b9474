"""What a device keeps of how its holder wants to see the pages."""

from starlette.responses import Response

YEAR_S = 31_536_000


def keep(response: Response, name: str, value: str, *, for_scripts: bool = False) -> None:
    """Let the visitor's device keep a setting.

    Parameters
    ----------
    response : Response
        What is answered.
    name : str
        Of the setting.
    value : str
        Letters, digits and marks that need no quotes.
    for_scripts : bool
        Whether scripts of the pages read it too.
    """
    response.set_cookie(
        name, value, max_age=YEAR_S, path="/", samesite="strict", httponly=not for_scripts
    )


def drop(response: Response, name: str) -> None:
    """Let the visitor's device forget a setting.

    Parameters
    ----------
    response : Response
        What is answered.
    name : str
        Of the setting.
    """
    response.delete_cookie(name, path="/", samesite="strict")
