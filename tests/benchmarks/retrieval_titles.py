"""Titles brought to a common form, so that one tune can be known again in another book."""

import hashlib
import re
import unicodedata
from functools import cache

HALVES = ("tuning", "report")

_DANCES = (
    "reel jig hornpipe strathspey waltz polka march quickstep quick step set dance slip"
    " air song galop schottische country clog highland fling minuet cotillion planxty"
)
_ARTICLES = "the a an ye"
# "Or" and what follows names the tune once more; so does what stands in brackets.
_SECOND_NAME = re.compile(r"\(.*?\)|\[.*?\]|\bor[,:]\s.*|\s--\s.*|, s\. \d+.*", re.IGNORECASE)
_POSSESSIVE = re.compile(r"['`]s?\b")
_NOT_A_LETTER = re.compile(r"[^a-z0-9]+")
# Spellings met in the four books, each seen on a tune that two books share.
_SPELLINGS = {
    "oer": "over", "o": "of", "an": "and", "n": "and", "wi": "with", "maccloud": "mcleod",
    "macleod": "mcleod", "mccloud": "mcleod", "mclaud": "mcleod", "mrs": "mistress",
    "miss": "miss", "st": "saint", "jonny": "johnny", "johnnie": "johnny", "jonnie": "johnny",
    "pully": "pulley", "lass": "lass", "ladys": "lady", "cd": "could", "leige": "liege",
}  # fmt: skip


@cache
def title_key(title: str) -> str:
    """Reduce a title to what different books agree on.

    Case, accents, articles, dance names, punctuation, second names and the s of plurals and
    possessives go; the words keep their order. A title of dance names alone keeps them.

    Examples
    --------
    >>> title_key("The Rakes of Mallow -- Reel")
    'rake of mallow'
    >>> title_key("Rake's of Mallow, The")
    'rake of mallow'
    """
    title = title.replace("\u2019", "'")
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    plain = _POSSESSIVE.sub("s", _SECOND_NAME.sub(" ", plain) or plain)
    words = _NOT_A_LETTER.sub(" ", plain).split()
    telling = [word for word in words if word not in _ARTICLES.split()]
    kept = [word for word in telling if _singular(word) not in _DANCES.split()] or telling
    return " ".join(_singular(_SPELLINGS.get(word, word)) for word in kept)


def half_of(title: str) -> str:
    """Give every tune, all its versions together, to one of two halves for good."""
    digest = hashlib.blake2b(title_key(title).encode(), digest_size=1).digest()
    return HALVES[digest[0] % 2]


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
