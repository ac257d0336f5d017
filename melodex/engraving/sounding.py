"""The notes that sound in a picture of music: onset, pitch, and ids of their heads."""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from melodex.engraving.mei import Score
from melodex.model.tablature import CHOKE, CHOKE_HALF_STEPS, TabNote
from melodex.notation.written_measures import EngravedMeasure, Head, Sound

_OCTAVE = 12
SMALLEST_PART = Fraction(1, 960)  # of a quarter note; closer times are equal
# Grace notes sound quickly before the beat, and together take at most an eighth. Common practice,
# no source.
_GRACE, _GRACES_TOGETHER = Fraction(1, 8), Fraction(1, 2)  # quarter notes


@dataclass(frozen=True, slots=True)
class SoundingNote:
    """A note to be played; times in quarter notes from the start of the picture's music."""

    onset_beats: float
    duration_beats: float
    pitch: int  # MIDI note number
    measure: int  # as written
    elements: tuple[str, ...]  # ids of its heads in the SVG: in the tab, then on the staff
    is_struck: bool = True  # by the right hand; otherwise the left hand sounds it, more softly
    slides_from: int = 0  # half-steps from its pitch at which a slide into it starts
    bends_by: int = 0  # half-steps by which a choke raises it
    before_beats: float = 0.0  # how long before its onset a grace note sounds; 0 for others


@dataclass(frozen=True, slots=True)
class PlayedMeasure:
    """A measure as played; repeated measures occur again."""

    number: int  # as written
    place: int  # its index among the measures of the picture
    begin_beats: float  # quarter notes from the start of the music, as played
    length_beats: float
    beats: tuple[float, ...]  # quarter notes from its start to each of its beats
    has_downbeat: bool  # whether the first of them is the downbeat
    written_beats: float  # quarter notes of the written song before it


def sounding_notes(score: Score, prefix: str, *, whole: bool) -> tuple[SoundingNote, ...]:
    """Return the notes of a score in the order played.

    These are the notes of the tab if there is one, else of the staff; and grace notes.

    Parameters
    ----------
    whole : bool
        Whether the score is a whole song, played with its repeats and endings; an excerpt is played
        once.
    """
    written = list(_written(score, prefix))
    if not whole:
        return tuple(written)
    played: list[SoundingNote] = []
    heard = 0.0
    begin = float(score.measures[0].span.onset)
    for first, last in (score.song.sections - begin).tolist():
        played += [
            replace(note, onset_beats=note.onset_beats - first + heard)
            for note in written
            if first - SMALLEST_PART < note.onset_beats < last - SMALLEST_PART
        ]
        heard += last - first
    return tuple(played)


def played_measures(score: Score, *, whole: bool) -> tuple[PlayedMeasure, ...]:
    """Return the measures of a score in the order played; parameters as for ``sounding_notes``."""
    begin, end = score.measures[0].span.onset, score.measures[-1].span.end
    sections = score.song.sections.tolist() if whole else [(float(begin), float(end))]
    played: list[PlayedMeasure] = []
    heard = 0.0
    for first, last in sections:
        for place, measure in enumerate(score.measures):
            from_beats = max(first, float(measure.span.onset))
            length = min(last, float(measure.span.end)) - from_beats
            if length > SMALLEST_PART:
                skipped = from_beats - float(measure.span.onset)
                begin_beats = heard + from_beats - first
                played.append(_played(measure, place, begin_beats, length, skipped))
        heard += last - first
    return tuple(played)


def _played(
    measure: EngravedMeasure, place: int, begin: float, length: float, skipped: float
) -> PlayedMeasure:
    """Return a measure as played, without the part skipped at its beginning."""
    late = float(measure.place) + skipped
    beats, full = measure.beats, float(measure.beats.length)
    if full:
        rounds = range(int((late + length) // full) + 1)
        clicks = [turn * full + float(start) for turn in rounds for start in beats.starts]
    else:
        clicks = [turn * float(beats.pulse) for turn in range(int(length / beats.pulse) + 1)]
    inside = [
        click - late for click in clicks if -SMALLEST_PART < click - late < length - SMALLEST_PART
    ]
    return PlayedMeasure(
        number=measure.span.number,
        place=place,
        begin_beats=begin,
        length_beats=length,
        beats=tuple(inside),
        has_downbeat=bool(full) and bool(inside) and abs(inside[0] + late) < SMALLEST_PART,
        written_beats=float(measure.span.onset) + skipped,
    )


def played_length(score: Score, *, whole: bool) -> float:
    """Return the played length of a score in quarter notes; see ``sounding_notes``."""
    if whole:
        return float((score.song.sections[:, 1] - score.song.sections[:, 0]).sum())
    return float(score.measures[-1].span.end - score.measures[0].span.onset)


def _written(score: Score, prefix: str) -> Iterator[SoundingNote]:
    begin = score.measures[0].span.onset
    barlines = [measure.span.onset for measure in score.measures]
    voice = score.tab or score.staff
    staff_at = {sound.onset: number for number, sound in enumerate(score.staff.sounds)}
    latest: dict[int, int] = {}  # by string
    for number, sound in enumerate(voice.sounds):
        measure = score.measures[bisect_right(barlines, sound.onset) - 1].span.number
        if sound.onset in staff_at:
            yield from _graces(score, staff_at[sound.onset], prefix, measure)
        for place, head in enumerate(sound.heads):
            ids = list(voice.ids[number, place])
            if voice is score.tab and sound.onset in staff_at:
                ids += _ids_on_staff(score, staff_at[sound.onset], head)
            note = SoundingNote(
                onset_beats=float(sound.onset - begin),
                duration_beats=float(sound.end - sound.onset),
                pitch=head.pitch,
                measure=measure,
                elements=tuple(f"{prefix}-{each}" for each in ids),
            )
            yield note if head.on_string is None else _by_hand(note, head.on_string, latest)


def _graces(score: Score, place: int, prefix: str, measure: int) -> Iterator[SoundingNote]:
    """Yield the grace notes before a sound of the staff."""
    sound, begin = score.staff.sounds[place], score.measures[0].span.onset
    count = len(sound.graces)
    ids = score.staff.grace_ids.get(place, [])
    for number, (pitch, name) in enumerate(zip(sound.graces, ids, strict=True)):
        length = min(_GRACE, _GRACES_TOGETHER / count)
        yield SoundingNote(
            onset_beats=float(sound.onset - begin),
            duration_beats=float(length),
            pitch=pitch,
            measure=measure,
            elements=(f"{prefix}-{name}",),
            is_struck=False,
            before_beats=float(length * (count - number)),
        )


def _by_hand(note: SoundingNote, on_string: TabNote, latest: dict[int, int]) -> SoundingNote:
    """Apply a left-hand technique to a note, and record its pitch as the latest on its string."""
    before = latest.get(on_string.string, note.pitch)
    latest[on_string.string] = note.pitch
    return replace(
        note,
        is_struck=on_string.is_struck,
        slides_from=before - note.pitch if on_string.left_hand == "slide" else 0,
        bends_by=CHOKE_HALF_STEPS if on_string.left_hand == CHOKE else 0,
    )


def _ids_on_staff(score: Score, number: int, head: Head) -> list[str]:
    """Return the ids of the staff's heads for a note on a string, in any octave."""
    place = place_of_pitch(score.staff.sounds[number], head.pitch)
    return [] if place is None else score.staff.ids[number, place]


def place_of_pitch(sound: Sound, pitch: int) -> int | None:
    """Return the index of the head with a pitch, preferably in the same octave."""
    distances = [abs(head.pitch - pitch) for head in sound.heads]
    alike = [
        (distance, place) for place, distance in enumerate(distances) if distance % _OCTAVE == 0
    ]
    return min(alike)[1] if alike else None
