"""Remarks on how a MIDI file was read; each function returns one sentence in a list, or none."""

from collections.abc import Sequence

from melodex.parsing.midi.melody_track import MidiLine
from melodex.parsing.midi.midi_events import MidiTrack


def _counted(count: int, one: str, several: str) -> list[str]:
    """Return a sentence that begins with a count, or nothing if the count is 0."""
    return [f"{count:,} {one if count == 1 else several}."] if count else []


def choice_between(lines: Sequence[MidiLine], chosen: MidiLine) -> list[str]:
    """Remark which of several lines was read."""
    if len(lines) == 1:
        return []
    tracks = max(line.track for line in lines)
    channels = sum(line.track == chosen.track for line in lines)
    places = [f"channel {chosen.channel}, one of {channels} channels"] if channels > 1 else []
    places += [f"track {chosen.track} of {tracks}"] if tracks > 1 else []
    called = f', "{chosen.name}"' if chosen.name else ""
    return [f"Read {' of '.join(places)}{called}; the others are left out."]


def left_out(tracks: Sequence[MidiTrack]) -> list[str]:
    """Remark which events were dropped or changed."""
    bad_keys = any(track.bad_keys for track in tracks)
    return [
        *(["A key signature that is not valid is left out."] if bad_keys else ()),
        *_counted(
            sum(track.zero_length for track in tracks),
            "note without duration is left out",
            "notes without duration are left out",
        ),
        *_counted(
            sum(track.unended for track in tracks),
            "note is never ended, and lasts until its track ends",
            "notes are never ended, and last until their track ends",
        ),
    ]


def own_beats(tempo: float) -> list[str]:
    """Remark that beats were estimated; ``tempo`` is in quarter notes a minute."""
    return [
        "The notes do not keep to the tempo of the file; their beats were estimated from them, at "
        f"about {tempo:.0f} quarter notes a minute, and bar lines are counted from the first."
    ]


def rounded_onsets(count: int, total: int, most: float) -> list[str]:
    """Remark how many onsets were rounded, and by at most how many seconds."""
    if not count:
        return []
    by = f"{most * 1000:.0f} ms" if most >= 1 / 1000 else "less than 1 ms"
    return [
        f"The onsets of {count:,} of {total:,} notes were rounded, by up to {by}, to the simplest "
        "rhythm that fits them."
    ]


def released_early(count: int) -> list[str]:
    """Remark how many notes were detached."""
    return _counted(
        count,
        "note ends early as played; it is written as lasting longer",
        "notes end early as played; they are written as lasting longer",
    )


def held_too_long(count: int) -> list[str]:
    """Remark how many notes overlap the next."""
    return _counted(
        count,
        "note still sounds when the next one begins; it is cut short there",
        "notes still sound when the next one begins; they are cut short there",
    )


def chords(count: int) -> list[str]:
    """Remark how often notes begin together."""
    if not count:
        return []
    often = "once" if count == 1 else f"{count:,} times"
    return [f"Notes begin together {often}; the highest is read as the melody."]
