"""Plain songs to arrange: those of the songbook, and a slow one."""

from melodex.model.key import Key, signature_of
from melodex.model.song import Song
from tests.songbook import TERMS, songs_of_book
from tests.strategies import melody_of, song_of

PLAIN = [song for book in TERMS for song in songs_of_book(book).values() if not song.metre.is_free]
G_MAJOR = Key("G", "major", signature_of("G", "major"))
# Four measures of quarter notes and halves. Invented.
SLOW = song_of(
    melody_of(
        55, 59, 62, 59, 60, 64, 62, 57, 60, 59, 57, 55,
        durations=[1, 1, 1, 1, 1, 1, 2, 1, 1, 2, 2, 2],
    ),
    key=G_MAJOR,
)  # fmt: skip


def title_of(song: Song) -> str:
    """Name a song in a test's id."""
    return song.title
