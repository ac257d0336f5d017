"""K: fields of ABC: tonic, mode, accidentals, and the octave of the clef."""

import re
from functools import lru_cache
from typing import NamedTuple

from melodex.model.key import SHARPS_OF_MODE, Key, signature_of
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_text import shortened

_MODE_OF_ABBREVIATION = {name[:3]: name for name in SHARPS_OF_MODE} | {
    "ion": "major",
    "aeo": "minor",
}
_EXPLICIT = "exp"

# Source: ABC 2.1, section 3.1.14: the Highland pipe scale has F and C sharp. K:HP does not print
# them at the clef, K:Hp does; they sound in both.
_HIGHLAND_PIPES = (("F", 1), ("C", 1))

# German note names, as in books of German songs: H is B natural, Es is E flat, Fis is F sharp.
_GERMAN = re.compile(r"(?P<letter>[A-H])(?P<ending>is|es|s)?(?=$|\s|m)")
_GERMAN_ENDING = {"is": "#", "es": "b", "s": "b", None: ""}

_ALTERATION = {"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}
_KEY = re.compile(
    r"(?P<tonic>[A-Ga-g])(?P<sign>[#b]?)\s*(?P<mode>[A-Za-z]*)(?![A-Za-z0-9])\s*"
    r"(?P<accidentals>(?:(?:\^\^|\^|__|_|=)[A-Ga-g](?:\s+|$|(?=[\^_=])))*)(?P<rest>.*)",
    re.DOTALL,
)
_ACCIDENTAL = re.compile(r"(\^\^|\^|__|_|=)([A-Ga-g])")
_ONLY_ACCIDENTALS = re.compile(r"(?:(?:\^\^|\^|__|_|=)[A-Ga-g]\s*)+")

# Source: ABC 2.1, section 4.6. Anything of the form name=value is a specifier, known or not.
_CLEF_NAME = r"(?:treble|alto|tenor|bass|perc|none)"
_SPECIFIER = re.compile(
    rf"(?<!\S)(?:(?-i:[a-z])[\w:]*=(?:\"[^\"]*\"|\S*)|{_CLEF_NAME}[1-5]?(?:[+-]8)?)(?!\S)",
    re.IGNORECASE,
)
_OCTAVE_CLEF = re.compile(r"(?:[a-z]+[1-5]?)([+-])8\"?$", re.IGNORECASE)
_SHIFT = re.compile(r"(octave|transpose|t)=([+-]?\d{1,3})$", re.IGNORECASE)
_HALF_STEPS_OF_OCTAVE = 12


class Staff(NamedTuple):
    """How far the sounding notes of a voice are from the written ones."""

    octaves: int = 0  # from octave=, an octave clef, or whole octaves of transpose=
    half_steps: int = 0  # rest of transpose=, not applied: melodies stay as written


class KeyField(NamedTuple):
    """The content of one K: field; ``key`` and ``staff`` are None if it does not state them."""

    key: Key | None
    no_key: bool  # whether the field explicitly states no key: K: or K:none
    staff: Staff | None
    read_as: str = ""  # the key's usual name, if it was written in an unusual way
    remarks: tuple[str, ...] = ()  # sentences about what was not understood


@lru_cache(maxsize=256)  # a book uses few different ones
def parse_key(text: str) -> KeyField:
    """Parse a K: field.

    Raises
    ------
    AbcError
        If it does not contain a recognisable key.

    Source
    ------
    ABC 2.1, sections 3.1.14 and 4.6. A lower-case tonic is read as upper case.

    Examples
    --------
    >>> str(parse_key("F#MIXO").key)
    'F# mixolydian'
    >>> parse_key("D Phr ^f").key.signature
    (('B', -1), ('E', -1), ('F', 1))
    """
    staff = parse_staff(text)
    words = _SPECIFIER.sub(" ", text.replace("♯", "#").replace("♭", "b")).strip()
    if not words:
        return KeyField(None, staff is None or "none" in text.lower(), staff)
    if words in {"HP", "Hp"}:
        return KeyField(Key("", "", _HIGHLAND_PIPES), False, staff)
    if _ONLY_ACCIDENTALS.fullmatch(words):
        return KeyField(Key("", "", _with_accidentals({}, words)), False, staff)
    english = _GERMAN.sub(_english_name, words, count=1)
    key, remarks = _named_key(english)
    if english != words:
        remarks.append(f"The key '{shortened(text)}' was read as {shortened(english)}.")
    return KeyField(key, False, staff, english if english != words else "", tuple(remarks))


def _english_name(german: re.Match[str]) -> str:
    letter = "B" if german["letter"] == "H" else german["letter"]
    return letter + _GERMAN_ENDING[german["ending"]]


def _named_key(words: str) -> tuple[Key, list[str]]:
    """Return the key, and remarks about words after it that have no meaning."""
    match = _KEY.fullmatch(words)
    mode_word = match["mode"].lower() if match else ""
    if not match or not _is_mode(mode_word) or not _is_clear(match["rest"], mode_word):
        raise AbcError(
            f"unknown key '{shortened(words)}' in K: (a letter A to G with # or b, then a mode "
            "such as m, mix, dor, phr, lyd or loc; or none, HP, Hp)"
        )
    remarks: list[str] = []
    if match["rest"]:
        remarks.append(
            f"In the key '{shortened(words)}', '{shortened(match['rest'])}' was ignored."
        )
    tonic = match["tonic"].upper() + match["sign"]
    if mode_word[:3] == _EXPLICIT:
        if not match["accidentals"]:
            remarks.append(f"The key '{shortened(words)}' lists no accidentals; it has none.")
        return Key(tonic, "", _with_accidentals({}, match["accidentals"])), remarks
    mode = _MODE_OF_ABBREVIATION.get(mode_word[:3], "minor" if mode_word == "m" else "major")
    signature = dict(signature_of(tonic, mode))
    return Key(tonic, mode, _with_accidentals(signature, match["accidentals"])), remarks


def _is_mode(word: str) -> bool:
    return word in {"", "m"} or word[:3] in {*_MODE_OF_ABBREVIATION, _EXPLICIT}


def _is_clear(rest: str, mode_word: str) -> bool:
    """Return whether what follows a key is unambiguous: no word that could be another mode.

    The first mark must not belong to the tonic, as in C## or Bn.
    """
    may_be_mode = (word for word in rest.split() if word.isalpha())
    return rest[:1] not in {*"#b^_="} and not any(
        not mode_word or _is_mode(word.lower()) for word in may_be_mode
    )


def _with_accidentals(signature: dict[str, int], text: str) -> tuple[tuple[str, int], ...]:
    changed = signature | {
        letter.upper(): _ALTERATION[sign] for sign, letter in _ACCIDENTAL.findall(text)
    }
    return tuple((letter, shift) for letter, shift in changed.items() if shift)


def parse_staff(text: str) -> Staff | None:
    """Parse clef, octave and transposition of a K: or V: field; None if it has none.

    An octave clef and ``octave=`` change the pitch of what is written. ``transpose=`` says how a
    transposing instrument sounds: its whole octaves are applied, the rest is not, because key and
    chord symbols are written for the instrument too.
    """
    specifiers = _SPECIFIER.findall(text)
    if not specifiers:
        return None
    octaves = half_steps = 0
    for specifier in specifiers:
        if clef := _OCTAVE_CLEF.search(specifier.removeprefix("clef=")):
            octaves += 1 if clef[1] == "+" else -1
        elif shift := _SHIFT.match(specifier):
            if shift[1].lower() == "octave":
                octaves += int(shift[2])
            else:
                half_steps += int(shift[2])
    whole = int(half_steps / _HALF_STEPS_OF_OCTAVE)
    return Staff(octaves + whole, half_steps - whole * _HALF_STEPS_OF_OCTAVE)
