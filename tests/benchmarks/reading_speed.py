"""How fast ABC and MIDI become songs, beside music21 on the same tunes, one process each.

The MIDI files are the ABC tunes as music21 writes them, exact, and as they would be played: each
onset moved by up to 20 ms.

Run: python -m tests.benchmarks.reading_speed [--tunes N]
"""

import argparse
import random
import time
import warnings
from collections.abc import Callable, Sequence
from typing import TypeVar

from music21 import converter
from music21.midi import MidiFile
from music21.midi.translate import midiFileToStream

from melodex.parsing.abc.abc_reader import read_abc
from melodex.parsing.midi.midi_reader import read_midi
from tests.benchmarks.abc_against_music21 import bundled_tunes
from tests.parsing.midi import midi_files

ROUNDS = 5  # the reader under test is timed this often, half before and half after music21
A_MINUTE = 100  # quarter notes

Text = TypeVar("Text", str, bytes)


def tunes_a_second(read: Callable[[Text], object], texts: Sequence[Text]) -> float:
    """Time a reader over all texts, in processor time of this process."""
    begun = time.process_time()
    for text in texts:
        read(text)
    return len(texts) / (time.process_time() - begun)


def report(
    what: str,
    ours: Callable[[Text], object],
    theirs: Callable[[Text], object],
    texts: Sequence[Text],
) -> None:
    """Print both speeds and their ratio."""
    for read in (ours, theirs):
        read(texts[0])  # loads what is loaded late
    before = [tunes_a_second(ours, texts) for _ in range(ROUNDS)]
    witness = tunes_a_second(theirs, texts)
    after = [tunes_a_second(ours, texts) for _ in range(ROUNDS)]
    speed = sorted(before + after)[ROUNDS]
    print(f"{what:14} {speed:7.0f} tunes/s, music21 {witness:7.1f}, ratio {speed / witness:7.1f}")


def midi_by_music21(content: bytes) -> object:
    """Read a MIDI file as music21 does."""
    file = MidiFile()
    file.readstr(content)
    return midiFileToStream(file)


def main() -> None:
    """Print the speeds of all readers."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tunes", type=int, default=300, help="how many tunes to draw")
    wanted = parser.parse_args().tunes
    warnings.simplefilter("ignore")
    tunes = random.Random(1).sample([tune.text for tune in bundled_tunes()], wanted)  # noqa: S311
    print(f"{wanted} tunes drawn from the bundled collections")
    report(
        "ABC",
        lambda text: read_abc(text, ""),
        lambda text: converter.parse(text, format="abc"),
        tunes,
    )
    lines = [notes for _, notes in midi_files.bundled_tunes(wanted)]
    exact = [midi_files.written_by_music21(notes) for notes in lines]
    report("MIDI, exact", lambda content: read_midi(content, "", ""), midi_by_music21, exact)
    played = [
        midi_files.written_by_music21(midi_files.moved(notes, 0.02, A_MINUTE, seed))
        for seed, notes in enumerate(lines)
    ]
    report("MIDI, played", lambda content: read_midi(content, "", ""), midi_by_music21, played)


if __name__ == "__main__":
    main()
