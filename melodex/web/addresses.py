"""Addresses of pages."""

from urllib.parse import urlencode

LONGEST_ADDRESS = 2_000  # characters; every browser takes as many


def address_of(path: str, **fields: object) -> str:
    """Write the address of a page with its fields; empty ones are left out.

    Examples
    --------
    >>> address_of("/find", form="notes", text="D4 E4", level="")
    '/find?form=notes&text=D4+E4'
    """
    given = {name: value for name, value in fields.items() if value not in ("", None, [], ())}
    return f"{path}?{urlencode(given, doseq=True)}" if given else path
