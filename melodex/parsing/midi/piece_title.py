"""Find the title of a MIDI file."""

import re
from collections.abc import Sequence

from melodex.parsing.midi.midi_events import MidiTrack

# Words used in the names of instruments, parts and unnamed files. Source: the sounds of General
# MIDI 1 and the names that sequencers give to tracks (from memory).
_NOT_A_TITLE = frozenset({
    "aahs", "accompaniment", "accordeon", "accordion", "acoustic", "alto", "and", "bagpipe",
    "bagpipes", "banjo", "baritone", "bass", "bassoon", "bb", "bells", "bodhran", "bottle",
    "bouzouki", "brass", "bright", "celesta", "cello", "cellos", "chan", "channel", "choir",
    "chord", "chords", "church", "clarinet", "clavi", "clavinet", "clean", "concertina",
    "conductor", "contrabass", "control", "distortion", "drawbar", "drum", "drums", "dulcimer",
    "eb", "electric", "english", "ensemble", "fiddle", "fiddles", "flute", "flutes", "french",
    "fretless", "fx", "glockenspiel", "grand", "guitar", "guitars", "hand", "harmonica",
    "harmonics", "harmony", "harp", "harpsichord", "horn", "in", "inst", "instrument",
    "kalimba", "kit", "koto", "lead", "left", "lh", "lower", "main", "mandolin", "marimba",
    "master", "melodeon", "melody", "meta", "mid", "midi", "muted", "name", "new", "no",
    "nylon", "oboe", "ocarina", "of", "oohs", "orchestra", "orchestral", "organ", "overdriven",
    "pad", "pan", "part", "percussion", "piano", "pianos", "piccolo", "pipes", "pizzicato",
    "recorder", "reed", "rh", "rhodes", "rhythm", "right", "sax", "saxophone", "sequence",
    "shakuhachi", "shamisen", "shanai", "sitar", "slap", "smf", "solo", "soprano", "sound",
    "sounds", "staff", "steel", "string", "strings", "synth", "synthesizer", "taiko", "tempo",
    "tenor", "the", "timpani", "top", "track", "treble", "tremolo", "trk", "trombone",
    "trumpet", "tuba", "tubular", "tune", "ukulele", "unbenannt", "unknown", "unnamed",
    "untitled", "upper", "vibraphone", "viola", "violin", "violins", "vocal", "vocals", "voice",
    "voices", "vox", "whistle", "woodblock", "xylophone",
})  # fmt: skip
_WORD = re.compile(r"[^\W\d_]+")


def title_of(tracks: Sequence[MidiTrack]) -> list[str]:
    """Return the first track's name, unless it names an instrument or a part.

    Source
    ------
    Standard MIDI Files specification 1.0 (from memory): the name of the first track is the name of
    the sequence.
    """
    name = tracks[0].name
    words = _WORD.findall(name.lower())
    return [name] if any(word not in _NOT_A_TITLE for word in words) else []
