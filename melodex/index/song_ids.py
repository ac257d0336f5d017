"""Song ids: readable words made from titles, unique within a catalogue."""

import itertools
import re
import sqlite3
import unicodedata

UNTITLED = "untitled"
# A title can be a whole sentence, but ids are typed by hand.
LONGEST_WORD = 60

# Latin letters that Unicode does not decompose into letter and mark.
_PLAIN_LETTERS = str.maketrans(
    {"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th"}
)


def readable_word(title: str) -> str:
    """Return a title as lower-case ASCII words joined by hyphens, at most 60 characters long.

    >>> readable_word("The Miller's Früh-Stück, No. 2")
    'the-millers-fruh-stuck-no-2'
    >>> readable_word("?")
    ''
    """
    decomposed = unicodedata.normalize("NFKD", title.casefold().translate(_PLAIN_LETTERS))
    letters = "".join(sign for sign in decomposed if unicodedata.category(sign) != "Mn")
    word = re.sub(r"[^a-z0-9]+", "-", re.sub("['\u2019]", "", letters)).strip("-")
    if len(word) <= LONGEST_WORD:
        return word
    whole_words, _, rest = word[: LONGEST_WORD + 1].rpartition("-")
    return whole_words or rest[:LONGEST_WORD]


class SongIds:
    """Assigns ids that no song of the catalogue has; valid within one transaction."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._free: dict[str, itertools.filterfalse[str]] = {}

    def new_id(self, title: str) -> str:
        """Return the title's readable word, or the first free one of word-2, word-3 and so on."""
        word = readable_word(title) or UNTITLED
        if word not in self._free:
            numbered = (f"{word}-{number}" for number in itertools.count(2))
            candidates = itertools.chain([word], numbered)
            self._free[word] = itertools.filterfalse(self._taken(word).__contains__, candidates)
        return next(self._free[word])

    def _taken(self, word: str) -> set[str]:
        # "." follows "-" in ASCII, so the range contains the word and everything that begins
        # "word-".
        rows = self._connection.execute(
            "SELECT song FROM song WHERE song >= ? AND song < ?", (word, f"{word}.")
        )
        return {song for (song,) in rows}
