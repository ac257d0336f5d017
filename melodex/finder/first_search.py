"""Whether a search has to work out first what chance brings in a catalogue."""

from melodex.index.derived_files import DerivedFiles
from melodex.index.store import Catalogue
from melodex.significance import chance, chance_of_phrases, chance_of_songs

_MODEL_FILES = {
    "find": chance.MODEL_FILE,
    "near": chance_of_songs.MODEL_FILE,
    "shared": chance_of_phrases.MODEL_FILE,
}


def is_first(catalogue: Catalogue, search: str) -> bool:
    """Return whether a search fits its chance model, which it does once after songs are added.

    Parameters
    ----------
    search : str
        "find", "near" or "shared".
    """
    files = DerivedFiles.of(catalogue.path, catalogue.melody_version())
    return not files.hold(_MODEL_FILES[search])
