"""What a placed lick demands of the hands, and how much of its own fingering it keeps."""

from collections.abc import Sequence
from itertools import pairwise

from melodex.banjo.fingering_settings import FARTHEST_FAST_SHIFT, FAST, is_fast
from melodex.banjo.hands import Hands, is_stretch
from melodex.banjo.placing.lick_hands import PlayedSound
from melodex.banjo.placing.lick_ways import LickSound
from melodex.model.results.placement import HandsKept


def hands_kept(wanted: Sequence[LickSound], own: Sequence[PlayedSound]) -> HandsKept:
    """Return what a lick keeps of its own strings and frets."""
    pairs = [
        (note.place, place)
        for sound, each in zip(wanted, own, strict=True)
        for note, place in zip(sound.notes, each.places, strict=True)
        if note.place is not None
    ]
    if not pairs:
        return "none stated"
    if all(came == place for came, place in pairs):
        return "strings and frets"
    is_on_its_strings = all(came.string == place.string for came, place in pairs)
    return "strings" if is_on_its_strings else "drone at most"


def strains_left_hand(sounds: Sequence[PlayedSound]) -> bool:
    """Return whether the left hand spans more than four frets, or leaps within a fast note."""
    is_stretched = any(is_stretch(Hands(sound.places, sound.position, "")) for sound in sounds)
    leaps = (
        abs(other.position - one.position) > FARTHEST_FAST_SHIFT
        for one, other in pairwise(sounds)
        if other.onset - one.onset <= FAST
    )
    return is_stretched or any(leaps)


def has_finger_twice(sounds: Sequence[PlayedSound]) -> bool:
    """Return whether a finger strikes twice in a row at the speed of eighth notes."""
    strokes = [sound for sound in sounds if any(sound.fingers)]
    return any(
        set(one.fingers) & set(other.fingers) - {""}
        for one, other in pairwise(strokes)
        if is_fast(one.onset, other.onset)
    )
