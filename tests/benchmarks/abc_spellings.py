"""Habits of ABC notation, each with a way to write the same music without it."""

import re
from collections.abc import Callable
from fractions import Fraction
from typing import NamedTuple

from melodex.model.key import signature_of
from melodex.parsing.abc.abc_header import abc_lines, read_header
from melodex.parsing.abc.abc_key import parse_key
from melodex.parsing.abc.abc_scanner import tokens_of
from melodex.parsing.abc.abc_tokens import Note

_FIELD = re.compile(r"[H-Wh-wXYZA-G]:(?![|:])|%")
_APART = re.compile(r'("[^"]*"|\[[^\]|]*\])')  # chords and inline fields, words
_NOTE = r"([_^=]*)([A-Ga-g][,']*)(\d*/*\d*)"
_TIE = re.compile(rf"{_NOTE}-(?=[^A-Ga-gzxZX_^=]*([_^=]*)([A-Ga-g][,']*))")
_BROKEN_CHAIN = re.compile(rf"{_NOTE}([<>]){_NOTE}([<>]){_NOTE}")
_BROKEN_END = re.compile(rf"{_NOTE}>(?=\s*[|:])")
_STRAY_TIE = re.compile(r"(?<![A-Ga-g\d/,'\]])-")  # one that touches no note before it
_VOICE = re.compile(r"\[?V:\s*(\S+?)[\s\]]")
_BROKEN = {">": (Fraction(3, 2), Fraction(1, 2)), "<": (Fraction(1, 2), Fraction(3, 2))}
_MAJOR_KEYS = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")


class Habit(NamedTuple):
    """A habit of notation that readers may take differently."""

    name: str
    section: str  # of the ABC 2.1 standard, which says how it is read
    without: Callable[[str], str]  # writes a tune that means the same without it


def _in_music(change: Callable[[str], str]) -> Callable[[str], str]:
    """Change lines of music, but no field and nothing between quotation marks."""

    def changed(tune: str) -> str:
        header, key, body = _parts(tune)
        lines = [
            line
            if _FIELD.match(line)
            else "".join(
                piece if number % 2 else change(piece)
                for number, piece in enumerate(_APART.split(line))
            )
            for line in body.split("\n")
        ]
        return header + key + "\n".join(lines)

    return changed


def _parts(tune: str) -> tuple[str, str, str]:
    """Part a tune into its header, its K: line and its body."""
    before, mark, rest = tune.partition("\nK:")
    key, line_end, body = rest.partition("\n")
    return before, mark + key + line_end, body


def _all_ties_of_one_pitch(tune: str) -> str:
    """Take away ties between different pitches, over line ends too, and those without a note."""

    def tie(match: re.Match[str]) -> str:
        sign, letter, length, next_sign, next_letter = match.groups()
        same = letter == next_letter and next_sign in {"", sign}
        return f"{sign}{letter}{length}{'-' if same else ''}"

    header, key, body = _parts(tune)
    pieces = _APART.split(body)
    pieces[::2] = [_STRAY_TIE.sub("", _TIE.sub(tie, piece)) for piece in pieces[::2]]
    return header + key + "".join(pieces)


def _natural_pitch(text: str) -> int:
    return next(token.natural for token in tokens_of(text) if isinstance(token, Note))


def _highest_of_chords(tune: str) -> str:
    """Write only the highest note of each chord, as long as its first note."""

    def highest(chord: re.Match[str]) -> str:
        notes = [match.groups() for match in re.finditer(f"{_NOTE}(-?)", chord[1])]
        sign, letter, _, tie = max(notes, key=lambda note: _natural_pitch(note[1]))
        return f"{sign}{letter}{notes[0][2]}{tie or chord[2]}"

    return _in_lines(r"\[((?:[_^=]*[A-Ga-g][,']*\d*/*\d*-?){2,})\](-?)", highest)(tune)


def _lengths_written_out(tune: str) -> str:
    """Write out the length of a note between two marks of broken rhythm, or before a bar line."""

    def chain(match: re.Match[str]) -> str:
        signs, letters, lengths = match.groups()[0::4], match.groups()[1::4], match.groups()[2::4]
        first, second = (_BROKEN[mark] for mark in match.groups()[3::4])
        shares = (first[0], first[1] * second[0], second[1])
        return "".join(
            f"{sign}{letter}{_length(length) * share}"
            for sign, letter, length, share in zip(signs, letters, lengths, shares, strict=True)
        )

    def end(match: re.Match[str]) -> str:
        return f"{match[1]}{match[2]}{_length(match[3]) * _BROKEN['>'][0]}"

    return _in_music(lambda music: _BROKEN_END.sub(end, _BROKEN_CHAIN.sub(chain, music)))(tune)


def _length(text: str) -> Fraction:
    above, slashes, below = re.findall(r"(\d*)(/*)(\d*)", text)[0]
    return Fraction(int(above or 1), int(below) if below else 2 ** len(slashes))


def _plain_fractions(tune: str) -> str:
    return _in_music(
        lambda music: re.sub(r"/{2,}", lambda slashes: f"/{2 ** len(slashes[0])}", music)
    )(tune)


def _rests_written_out(tune: str) -> str:
    """Write rests of whole measures as rests."""
    header, _ = read_header([], abc_lines(1, tune.split("\n")))
    units = header.metre.measure_length / 4 / header.unit

    def rest(match: re.Match[str]) -> str:
        return "|".join([f"z{units}"] * int(match[1] or 1))

    return _in_music(lambda music: re.sub(r"Z(\d*)", rest, music))(tune)


def _grace_accidentals_repeated(tune: str) -> str:
    """Write the accidental of a grace note again before the next note of its letter."""
    pattern = re.compile(r"(\{[^}|]*([_^=])([A-Ga-g])[^}|]*\}[^|]*?)(?<![_^=])(\3)", re.IGNORECASE)
    return _in_music(lambda music: pattern.sub(r"\1\2\4", music))(tune)


def _plain_key(tune: str) -> str:
    """Write each key as the major key of the same signature."""

    def plain(match: re.Match[str]) -> str:
        key = parse_key(match[2].partition("%")[0]).key
        signature = dict(key.signature) if key else {}
        for tonic in _MAJOR_KEYS:
            if dict(signature_of(tonic, "major")) == signature:
                return f"{match[1]}K:{tonic}"
        return match[0]

    return re.sub(r"(^|\[)K:([^\n\]]*)", plain, tune, flags=re.MULTILINE)


def _only_fields_in_header(tune: str) -> str:
    header, key, body = _parts(tune)
    return "\n".join(line for line in header.split("\n") if _FIELD.match(line)) + key + body


def _one_voice(tune: str) -> str:
    """Keep the voice that comes first."""
    header, key, body = _parts(tune)
    kept, voice, first = [], None, None
    for line in body.split("\n"):
        named = _VOICE.match(line + " ")
        if named:
            voice = named[1]
            first = first or voice
            line = line[named.end() :]
        if voice == first:
            kept.append(line)
    header = "\n".join(line for line in header.split("\n") if not line.startswith("V:"))
    return header + key + "\n".join(kept)


def _in_lines(
    pattern: str, replacement: str | Callable[[re.Match[str]], str]
) -> Callable[[str], str]:
    """Change the body as it stands, chords and words and all."""

    def changed(tune: str) -> str:
        header, key, body = _parts(tune)
        return header + key + re.sub(pattern, replacement, body)

    return changed


def _in_notes(pattern: str, replacement: str) -> Callable[[str], str]:
    return _in_music(lambda music: re.sub(pattern, replacement, music))


def _as_before_mail(tune: str) -> str:
    """Read =3D as an equals sign and =20 as a space, as mail programs mean them."""
    return tune.replace("=3D", "=").replace("=20", " ")


# In an order in which they can be taken away from the last to the first.
HABITS = (
    Habit("an accidental held to the end of the bar", "11.3", lambda tune: "%abc-2.1\n" + tune),
    Habit("a tie between different pitches", "4.11", _all_ties_of_one_pitch),
    Habit("broken rhythm on both sides of a note", "4.4", _lengths_written_out),
    Habit("an accidental or bracket without notes", "8.1", _in_lines(r"[_^=](?=\d)|\[(?=\s)", "")),
    Habit("a slur beside broken rhythm", "4.4, 4.11", _in_notes(r"\((?!\d)|\)", "")),
    Habit("a decoration before a note", "4.14", _in_notes(r"![^!\s|]*!|[.~H-WYh-w]", "")),
    Habit("grace notes beside broken rhythm", "4.12", _in_notes(r"\{[^}]*\}", "")),
    Habit("an accidental on a grace note", "11.3, 4.12", _grace_accidentals_repeated),
    Habit("text in quotation marks", "4.18, 4.19", _in_lines(r'"[^"\n]*"', "")),
    Habit("bar lines such as :: or |[|", "4.8", _in_notes(r":*(?:\[(?=\|))?\|[|:\]]*|::+", "|")),
    Habit("a line of words in the header", "3", _only_fields_in_header),
    Habit("several voices", "7", _one_voice),
    Habit("a key by its mode or German name", "3.1.14", _plain_key),
    Habit("a chord between plus signs", "12.1.3", _in_notes(r"\+([A-G\d]+)\+", r"[\1]")),
    Habit("an invisible rest", "4.5", _in_notes("x", "z")),
    Habit("a rest of whole measures", "4.5", _rests_written_out),
    Habit("chords that are tied or of unequal lengths", "4.11, 4.17", _highest_of_chords),
    Habit("a length with several slashes", "4.3", _plain_fractions),
    Habit("a field between brackets", "3.2", _in_lines(r"\[([KLM]:[^\]]*)\]", r"\n\1\n")),
    Habit("signs as mail programs encode them", "none", _as_before_mail),
)
