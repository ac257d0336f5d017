"""Find the song that a name refers to: an id, a title, or a part of either."""

import difflib
import sqlite3
from collections import Counter
from collections.abc import Iterable, Sequence

from melodex.errors import SongNotFoundError
from melodex.index.song_ids import readable_word

MOST_CANDIDATES = 8  # as many as can be taken in at a glance
# difflib's default; lower values suggest titles that share little but common letters.
LEAST_LIKENESS = 0.6


def song_named(name: str, songs: Sequence[tuple[str, str]]) -> str:
    """Return the id of the song that a name refers to.

    Parameters
    ----------
    name : str
        An id, a whole title, or a part of a title or id that only one song has, in this order of
        preference. Titles are case-insensitive.
    songs : sequence of (id, title)
        All songs, in order.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, matches the name; the message lists similar ones.
    """
    wanted = name.strip().casefold()
    meanings = (
        (song for song in songs if song[0] == name.strip()),
        (song for song in songs if song[1].casefold() == wanted),
        _with_part(wanted, songs),
    )
    for meant in meanings:
        found = list(meant)
        if len(found) == 1:
            return found[0][0]
        if found:
            beginning = f"{name!r} may mean any of {len(found)} songs"
            raise _candidates(beginning, name, found, "use its id, the word before the brackets.")
    raise _no_match(name, songs)


def _with_part(part: str, songs: Iterable[tuple[str, str]]) -> Iterable[tuple[str, str]]:
    word = readable_word(part)
    return (
        (song, title)
        for song, title in songs
        if part in title.casefold() or (word and word in song)
    )


def suggested_names(part: str, songs: Sequence[tuple[str, str]]) -> list[str]:
    """Return names of songs, 8 at most, that hold a part; those that begin with it first.

    A name is a title, or the id where several songs have that title: ``song_named`` takes both.
    """
    wanted = part.strip().casefold()
    if not wanted:
        return []
    found = sorted(
        _with_part(wanted, songs),
        key=lambda song: (not song[1].casefold().startswith(wanted), song[1].casefold(), song[0]),
    )
    bearers = Counter(title.casefold() for _, title in songs)
    return [
        title if bearers[title.casefold()] == 1 else song for song, title in found[:MOST_CANDIDATES]
    ]


def nearest_titles(name: str, songs: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return the songs, each as id and title, whose titles are spelled most like a name."""
    titles = {title.casefold(): (song, title) for song, title in reversed(songs)}
    nearest = difflib.get_close_matches(
        name.strip().casefold(), titles, n=MOST_CANDIDATES, cutoff=LEAST_LIKENESS
    )
    return [titles[key] for key in nearest]


def _no_match(name: str, songs: Sequence[tuple[str, str]]) -> SongNotFoundError:
    nearest = nearest_titles(name, songs)
    if not nearest:
        return SongNotFoundError(f"No song is called {name!r}.", "look it up in the list of songs.")
    next_step = "name one of these by its id, or look it up in the list of songs."
    return _candidates(f"No song is called {name!r}; the nearest", name, nearest, next_step)


def _candidates(
    beginning: str, name: str, songs: Sequence[tuple[str, str]], next_step: str
) -> SongNotFoundError:
    return SongNotFoundError(
        f"{beginning}: {songs_in_words(songs)}.",
        next_step,
        name=name,
        songs=[song for song, _ in songs],
        beginning=beginning,
    )


def songs_in_words(songs: Sequence[tuple[str, str]]) -> str:
    """Return a list of songs as ids with titles; of very many only the first few."""
    shown = [f"{song} ({title})" for song, title in songs[:MOST_CANDIDATES]]
    more = len(songs) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more else "")


def song_number(connection: sqlite3.Connection, song_id: str) -> int:
    """Return the number of a song's row.

    Raises
    ------
    SongNotFoundError
        If no song has that id.
    """
    row = connection.execute("SELECT id FROM song WHERE song = ?", (song_id,)).fetchone()
    if row is None:
        raise SongNotFoundError(
            f"No song has the id {song_id!r}.", "look it up in the list of songs."
        )
    return int(row[0])
