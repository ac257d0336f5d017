"""Write music as JSON for the player in static/: lists of notes, measures and chords."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from markupsafe import Markup

from melodex.engraving.accompaniment import accompaniment
from melodex.engraving.engrave_song import Engraving
from melodex.engraving.sounding import SoundingNote
from melodex.features.chords import chords_of
from melodex.model.song import Song
from melodex.notation.metre_weights import beats_of

# Quarter notes a minute if the source states no tempo: slow enough for a learner. Common practice.
LEARNERS_TEMPO = 100.0
# Files in static/, in the order in which a page loads them.
PLAYER_SCRIPTS = (
    "string_sound.js",
    "heard_piece.js",
    "performance.js",
    "measure_choice.js",
    "player_bar.js",
    "player.js",
)
TIME_DIGITS = 4  # decimals of a quarter note: 0.06 milliseconds at that tempo
_IN_SCRIPTS = {ord("<"): "\\u003c", ord(">"): "\\u003e", ord("&"): "\\u0026"}


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """An engraved song or excerpt to be played."""

    label: str
    song: Song
    engraving: Engraving
    meets_beats: float = 0.0  # from its start to the point where both tracks meet
    half_steps_to_first: int = 0  # transposition of the second track into the first one's key


def player_notes(name: str, tracks: Sequence[Track]) -> Markup:
    """Return the JSON that the player reads.

    Parameters
    ----------
    name : str
        A description of the music, for screen readers.
    tracks : sequence of Track
        One track, or two to be played one after the other or together.

    Returns
    -------
    Markup
        Safe inside a script element, whatever the titles contain.
    """
    song = tracks[0].song
    document = {
        "name": name,
        "tempo": song.tempo or LEARNERS_TEMPO,
        "beat": _beat(song),
        "tracks": [_track(track) for track in tracks],
    }
    text = json.dumps(document, ensure_ascii=True, separators=(",", ":"))
    return Markup(text.translate(_IN_SCRIPTS))  # noqa: S704 - cannot end the script element


def _beat(song: Song) -> float:
    """Return the quarter notes in a beat: a dotted quarter in 6/8."""
    beats = beats_of(song.metre)
    if len(beats.starts) > 1:
        return float(beats.starts[1])
    return float(beats.length or Fraction(1))


def _track(track: Track) -> dict[str, object]:
    engraving = track.engraving
    chords, are_estimated = chords_of(track.song)
    return {
        "label": track.label,
        "picture": engraving.name,
        "length": round(engraving.length_beats, TIME_DIGITS),
        "pickup": round(engraving.pickup_beats, TIME_DIGITS),
        "measure": float(track.song.metre.measure_length),
        "meets": round(track.meets_beats, TIME_DIGITS),
        "halfStepsToFirst": track.half_steps_to_first,
        "notes": [
            [
                round(note.onset_beats, TIME_DIGITS),
                round(note.duration_beats, TIME_DIGITS),
                note.pitch,
                note.elements,
                _left_hand(note),
            ]
            for note in engraving.sounding
        ],
        "measures": [
            [
                measure.number,
                measure.place,
                round(measure.begin_beats, TIME_DIGITS),
                round(measure.length_beats, TIME_DIGITS),
                [round(beat, TIME_DIGITS) for beat in measure.beats],
                int(measure.has_downbeat),
            ]
            for measure in engraving.played
        ],
        "chords": [
            [round(begin, TIME_DIGITS), round(length, TIME_DIGITS), chord.bass, chord.tones]
            for begin, length, chord in accompaniment(chords, engraving.played)
        ],
        "chordsEstimated": are_estimated,
    }


def _left_hand(note: SoundingNote) -> dict[str, object]:
    """Return how a left-hand note sounds: softly, or sliding from or to another pitch."""
    plain = {"soft": False, "from": 0, "to": 0, "before": 0}
    sounded = {
        "soft": not note.is_struck,
        "from": note.slides_from,
        "to": note.bends_by,
        "before": round(note.before_beats, TIME_DIGITS),
    }
    return {name: value for name, value in sounded.items() if value != plain[name]}
