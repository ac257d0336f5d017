"""Where catalogues are kept unless the user says otherwise."""

from pathlib import Path

import platformdirs


def catalogue_path(given: Path | None, *, name: str = "catalogue.db") -> Path:
    """Choose the catalogue's file: the one given, else one in the user's data folder."""
    return given or platformdirs.user_data_path("melodex", appauthor=False) / name
