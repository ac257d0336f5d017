"""What a placed lick asks of the hands, and what it keeps of its own."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from melodex.banjo.fingered_tab import strain
from melodex.banjo.fingering_settings import is_fast
from melodex.banjo.hands import Hands
from melodex.banjo.lick_hands import PlayedSound
from melodex.banjo.lick_ways import Sound
from melodex.banjo.moments import Moment
from melodex.model.placement import HandsKept

_NAMES = {"T": "thumb", "I": "index finger", "M": "middle finger"}


def hands_kept(asked: Sequence[Sound], own: Sequence[PlayedSound]) -> HandsKept:
    """Return what a lick keeps of the strings and frets that it comes with."""
    pairs = [
        (note.place, place)
        for sound, each in zip(asked, own, strict=True)
        for note, place in zip(sound.notes, each.places, strict=True)
        if note.place is not None
    ]
    if not pairs:
        return "none stated"
    if all(came == place for came, place in pairs):
        return "strings and frets"
    is_on_its_strings = all(came.string == place.string for came, place in pairs)
    return "strings" if is_on_its_strings else "drone at most"


def strain_of(sounds: Sequence[PlayedSound]) -> list[str]:
    """Name the measures where the left hand would strain, a sentence each."""
    moments = [Moment(sound.onset, 0.0, sound.measure, ()) for sound in sounds]
    return strain(moments, [Hands(sound.places, sound.position, "") for sound in sounds])


def fingers_twice(sounds: Sequence[PlayedSound]) -> Iterator[str]:
    """Name the fingers that strike twice in a row at the speed of eighth notes, a sentence each."""
    strokes = [sound for sound in sounds if any(sound.fingers)]
    for one, other in pairwise(strokes):
        if is_fast(one.onset, other.onset):
            for finger in sorted(set(one.fingers) & set(other.fingers) - {""}):
                yield (
                    f"The {_NAMES[finger]} plays twice in a row, fast, in measure {other.measure}."
                )
