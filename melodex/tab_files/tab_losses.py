"""What a file cannot express of a song's tab."""

from melodex.model.key import Key, signature_of
from melodex.model.song import Song
from melodex.notation.measure_names import measures_in_words
from melodex.notation.tab_measures import exact
from melodex.tab_files.tab_bars import DIVIDING_IN_MUSICXML, DIVIDING_IN_TEXT, order_is_written

ORDER = (
    "The order of playing cannot be written with repeat signs and endings: "
    "a reader of the file gets the order that its bar lines state."
)
WORDS = "The words are left out; a MusicXML file holds them."
KEY = "The key is left out, since no named key has its signature; MusicXML holds it."


def left_out_of_text(song: Song) -> list[str]:
    """Return a sentence for each thing that text tab leaves out of a song."""
    return [
        *_left_out(song, DIVIDING_IN_TEXT),
        *([WORDS] if song.lyrics else []),
        *([KEY] if song.key and not _is_named(song.key) else []),
    ]


def left_out_of_musicxml(song: Song) -> list[str]:
    """Return a sentence for each thing that a MusicXML file leaves out of a song."""
    titles = song.other_titles[1:]
    listed = ", ".join(f"'{title}'" for title in titles)
    return [
        *_left_out(song, DIVIDING_IN_MUSICXML),
        *([f"MusicXML has room for two titles; {listed} is left out."] if titles else []),
    ]


def _left_out(song: Song, dividing: frozenset[str]) -> list[str]:
    onsets = {exact(onset): number for onset, number in _measures(song)}
    inside = [
        max((onset, number) for onset, number in onsets.items() if onset < exact(change.onset))[1]
        for change in song.metre_changes
        if exact(change.onset) not in onsets
    ]
    found = [] if order_is_written(song, dividing) else [ORDER]
    if inside:
        found.append(f"The metre changes inside {measures_in_words(inside)}, which is left out.")
    return found


def _measures(song: Song) -> list[tuple[float, int]]:
    grid = song.measures
    return list(zip(grid.onsets.tolist(), grid.numbers.tolist(), strict=True))


def _is_named(key: Key) -> bool:
    return bool(key.tonic and key.mode) and key.signature == signature_of(key.tonic, key.mode)
