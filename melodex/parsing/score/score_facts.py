"""Convert metre, key, tempo and chord symbols from music21's objects to records."""

# ruff: noqa: ANN401 - music21 is only partly typed

import re
from typing import Any

from melodex.model.key import SHARPS_OF_MODE, Key
from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.metre_text import metre_from_ratios

NO_CHORD = "N.C."

_MODES = {mode: mode for mode in SHARPS_OF_MODE} | {"ionian": "major", "aeolian": "minor"}
# The kinds are music21's; the suffixes are those printed on lead sheets (common practice).
_SIGN_OF_KIND = {
    "major": "", "minor": "m", "augmented": "+", "diminished": "dim",
    "dominant-seventh": "7", "major-seventh": "maj7", "minor-seventh": "m7",
    "minor-major-seventh": "m(maj7)", "augmented-seventh": "+7",
    "half-diminished-seventh": "m7b5", "diminished-seventh": "dim7",
    "major-sixth": "6", "minor-sixth": "m6",
    "dominant-ninth": "9", "major-ninth": "maj9", "minor-ninth": "m9",
    "dominant-11th": "11", "major-11th": "maj11", "minor-11th": "m11",
    "dominant-13th": "13", "major-13th": "maj13", "minor-13th": "m13",
    "suspended-second": "sus2", "suspended-fourth": "sus4", "suspended-fourth-seventh": "7sus4",
    "power": "5",
}  # fmt: skip
_CHANGES = {"add": "add", "subtract": "no", "alter": ""}
_ALTERATIONS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}


def metre_of(signature: Any) -> Metre | None:
    """Return a metre such as 6/8, 3+2/8 or 2/4+3/8; free if stated so; None if not valid."""
    if "TimeSignature" not in signature.classes:
        return FREE_METRE
    return metre_from_ratios(re.sub(r"[{}\s]", "", signature.ratioString))


def key_of(part: Any) -> Key | None:
    """Return the key at the start of a part; the tonic is unknown without a stated mode."""
    signature = part["KeySignature"].first()
    key = part["Key"].first()
    if key is not None and (mode := _MODES.get(key.mode, "")):
        return Key(_in_ascii(key.tonic.name), mode, _accidentals(key))
    return None if signature is None else Key("", "", _accidentals(signature))


def _accidentals(signature: Any) -> tuple[tuple[str, int], ...]:
    return tuple((pitch.step, round(pitch.accidental.alter)) for pitch in signature.alteredPitches)


def _in_ascii(name: str) -> str:
    return name.replace("-", "b")


def tempo_of(part: Any) -> float | None:
    """Return the first tempo stated as a number, including one for playback only."""
    for mark in part["MetronomeMark"]:
        is_stated = mark.number is not None and not mark.numberImplicit
        if is_stated or mark.numberSounding is not None:
            return round(float(mark.getQuarterBPM()), 3)  # 104 comes as 104.00000000000001
    return None


def chord_text(harmony: Any) -> str:
    """Return a chord symbol as on lead sheets: "Bb7", "Am7/G", "N.C."; empty without a root."""
    if "NoChord" in harmony.classes:
        return NO_CHORD
    if not harmony.chordKind:
        return ""
    root, bass = harmony.root(), harmony.bass()
    sign = _SIGN_OF_KIND.get(harmony.chordKind, str(harmony.chordKindStr))
    changes = "".join(_change_text(change) for change in harmony.chordStepModifications)
    over = f"/{_in_ascii(bass.name)}" if bass.name != root.name else ""
    return _in_ascii(root.name) + sign + changes + over


def _change_text(change: Any) -> str:
    alteration = _ALTERATIONS.get(round(change.interval.semitones), "") if change.interval else ""
    return f"({'' if alteration else _CHANGES[change.modType]}{alteration}{change.degree})"
