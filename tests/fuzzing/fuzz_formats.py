"""The formats that are fuzzed: where the inputs come from, and what reads them.

A format more is a function of seeds in `seeds.py`, its pieces in `tokens.py`, and a line here.
"""

import zipfile
import zlib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from melodex.index.song_records import pack_song
from melodex.parsing.formats import read_file
from melodex.parsing.lick_tab import lick_from_tab
from melodex.parsing.lick_text import lick_from_degrees, lick_from_names
from melodex.parsing.measure_range import measure_range
from melodex.search.query import lick_from_abc
from tests.fuzzing import fuzzing_seeds as seeds
from tests.fuzzing import tokens
from tests.parsing.midi.damaged_midi import midi_seeds, with_true_lengths
from tests.parsing.score import hand_scores

SHOWN_AS = "fuzzed"


class FuzzFormat(NamedTuple):
    """A kind of input."""

    seeds: Callable[[], list[bytes]]
    tokens: Sequence[bytes]
    read: Callable[[bytes, Path], Sequence[str]]  # reads content in a folder; returns failures


def _file_reader(suffix: str) -> Callable[[bytes, Path], Sequence[str]]:
    """Return what reads a file as `add` does, up to what is written to the catalogue."""

    def read(content: bytes, folder: Path) -> Sequence[str]:
        path = folder / f"fuzzed{suffix}"
        path.write_bytes(content)
        reading = read_file(path, shown_as=SHOWN_AS)
        for song in reading.songs:
            pack_song(song).title.encode()
        for failure in reading.failures:
            f"{failure.tune} {failure.reason}".encode()
        return [failure.reason for failure in reading.failures]

    return read


def _read_mxl(content: bytes, folder: Path) -> Sequence[str]:
    """Read an archive; content that is none is put into one, since a check sum guards it there."""
    if not content.startswith(b"PK"):
        container = hand_scores.container("score.xml")
        content = hand_scores.archive(
            {"META-INF/container.xml": container, "score.xml": content}, zipfile.ZIP_DEFLATED
        )
    return _file_reader(".mxl")(content, folder)


def _read_midi(content: bytes, folder: Path) -> Sequence[str]:
    """Read a MIDI file; of three in four its lengths are stated anew, since they guard the rest."""
    repaired = with_true_lengths(content) if zlib.crc32(content) % 4 else content
    return _file_reader(".mid")(repaired, folder)


_LICK_READERS: dict[str, Callable[[str], object]] = {
    "abc": lick_from_abc,
    "notes": lick_from_names,
    "degrees": lick_from_degrees,
    "tab": lick_from_tab,
    "measures": measure_range,
}


def _read_lick(content: bytes, _folder: Path) -> Sequence[str]:
    """Read a lick in the form that its first line names; one that is not known is ABC."""
    form, _, text = content.decode(errors="surrogateescape").partition("\n")
    _LICK_READERS.get(form, lick_from_abc)(text)
    return []


FORMATS: dict[str, FuzzFormat] = {
    "abc": FuzzFormat(seeds.abc_seeds, tokens.ABC_TOKENS, _file_reader(".abc")),
    "tab": FuzzFormat(seeds.tab_seeds, tokens.TAB_TOKENS, _file_reader(".tab")),
    "licks": FuzzFormat(seeds.lick_seeds, tokens.LICK_TOKENS, _read_lick),
    "kern": FuzzFormat(seeds.kern_seeds, tokens.KERN_TOKENS, _file_reader(".krn")),
    "musicxml": FuzzFormat(seeds.musicxml_seeds, tokens.XML_TOKENS, _file_reader(".musicxml")),
    "mxl": FuzzFormat(seeds.mxl_seeds, (*tokens.ZIP_TOKENS, *tokens.XML_TOKENS), _read_mxl),
    "midi": FuzzFormat(midi_seeds, tokens.MIDI_TOKENS, _read_midi),
}
