"""Habits of ABC notation, each with a way to write the same music without it."""

import re
from collections.abc import Callable
from typing import NamedTuple

from melodex.model.key import signature_of
from melodex.parsing.abc_fields import parse_metre
from melodex.parsing.abc_key import parse_key

_FIELD = re.compile(r"[H-Wh-wXYZA-G]:(?![|:])|%")
_APART = re.compile(r'("[^"]*"|\[[A-Za-z]:[^\]]*\])')  # what is no music inside a line of it
_TIE = re.compile(r"([_^=]?)([A-Ga-g][,']*)([\d/]*)-(?=[^A-Ga-gzxZX\[]*([_^=]?)([A-Ga-g][,']*))")
_VOICE = re.compile(r"\[?V:\s*(\S+?)[\s\]]")
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


def _taken_away(pattern: str) -> Callable[[str], str]:
    return _in_music(lambda music: re.sub(pattern, "", music))


def _all_ties_of_one_pitch(tune: str) -> str:
    def tie(match: re.Match[str]) -> str:
        sign, letter, length, next_sign, next_letter = match.groups()
        same = letter == next_letter and next_sign in {"", sign}
        return f"{sign}{letter}{length}{'-' if same else ''}"

    return _in_music(lambda music: re.sub(r"(?:^|(?<=[\s|]))-", "", _TIE.sub(tie, music)))(tune)


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


def _plain_metre(tune: str) -> str:
    return re.sub(
        r"^M:(.*)",
        lambda match: f"M:{parse_metre(match[1].partition('%')[0]).metre}",
        tune,
        flags=re.MULTILINE,
    )


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


HABITS = (
    Habit("an accidental held to the end of the bar", "11.3", lambda tune: "%abc-2.1\n" + tune),
    Habit("a tie between different pitches", "4.11", _all_ties_of_one_pitch),
    Habit("a slur beside broken rhythm", "4.4, 4.11", _taken_away(r"\((?!\d)|\)")),
    Habit("a decoration before a note", "4.14", _taken_away(r"![^!\s|]*!|[.~H-WYh-w]")),
    Habit("grace notes beside broken rhythm", "4.12", _taken_away(r"\{[^}]*\}")),
    Habit("text in quotation marks", "4.18, 4.19", lambda tune: re.sub(r'"[^"]*"', "", tune)),
    Habit("a line of words in the header", "3", _only_fields_in_header),
    Habit("several voices", "7", _one_voice),
    Habit("a key by its mode or German name", "3.1.14", _plain_key),
    Habit("text around the metre", "3.1.6", _plain_metre),
    Habit(
        "a chord between plus signs",
        "12.1.3",
        _in_music(lambda m: re.sub(r"\+([A-G\d]+)\+", r"[\1]", m)),
    ),
    Habit("spacers and back quotes", "4.7, 6.1.2", _taken_away(r"[`y$]")),
    Habit(
        "bar lines of odd shape", "4.8", _in_music(lambda m: re.sub(r"\[?[|:\]]*\|[|:\]]*", "|", m))
    ),
)
