"""Where the ABC reader and music21 differ on the bundled collections, and what the standard says.

Run: python -m tests.benchmarks.abc_against_music21 [--tunes N]

Where the two differ, the tune is spelled in another way that means the same by ABC 2.1, habit by
habit, until they agree. Our reader must read all spellings alike; the habits that had to go are
what music21 reads otherwise, and each names the section of the standard that decides.
"""

import argparse
import importlib.util
import random
import warnings
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
from music21 import chord, converter, note, stream
from music21.exceptions21 import Music21Exception
from numpy.typing import NDArray

from melodex.parsing.abc.abc_book import split_book
from melodex.parsing.abc.abc_reader import decode_abc, read_abc
from tests.benchmarks.abc_spellings import HABITS, Habit

COLLECTIONS = ("airdsAirs", "essenFolksong", "oneills1850", "ryansMammoth")
"""Those that music21 carries as ABC."""

ROUNDING = 1e-3  # quarter notes: music21 rounds some tuplets
EQUAL, UNEXPLAINED = "equal", "unexplained"
REFUSED, WITNESS_STOPS = "melodex refuses the tune", "music21 stops with an error"


class BundledTune(NamedTuple):
    """One tune as its book has it."""

    place: str
    text: str


def bundled_tunes() -> Iterator[BundledTune]:
    """Go through all tunes of the collections, book by book."""
    spec = importlib.util.find_spec("music21")
    assert spec is not None
    assert spec.submodule_search_locations is not None
    corpus = Path(spec.submodule_search_locations[0]) / "corpus"
    for collection in COLLECTIONS:
        for path in sorted((corpus / collection).glob("*.abc")):
            for tune in split_book(decode_abc(path.read_bytes())).tunes:
                place = f"{collection}/{path.name}, line {tune.first_line}"
                yield BundledTune(place, "\n".join(tune.lines))


def our_notes(text: str) -> NDArray[np.float64] | None:
    """Return pitch, onset and duration of each note, shape (n_notes, 3); None if it fails."""
    songs = read_abc(text, "").songs
    if not songs:
        return None
    melody = songs[0].melody
    return np.column_stack([melody.pitches, melody.onsets, melody.durations])


def witness_notes(text: str) -> NDArray[np.float64] | None:
    """Read the same with music21: the first part, ties joined, the highest note of a chord."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            score = converter.parse(text, format="abc")
            part = next(iter(score.getElementsByClass(stream.Part)), score)
            notes = part.stripTies().flatten().notes
        except (Music21Exception, ValueError, TypeError, AttributeError, IndexError):
            return None
    rows = [
        (max(pitch.midi for pitch in sound.pitches), sound.offset, sound.quarterLength)
        for sound in notes
        if type(sound) in {note.Note, chord.Chord} and not sound.duration.isGrace
    ]
    return np.array(rows, dtype=np.float64).reshape(-1, 3)


def agree(ours: NDArray[np.float64] | None, theirs: NDArray[np.float64] | None) -> bool:
    """Tell whether two readings have the same notes at the same times."""
    if ours is None or theirs is None:
        return ours is theirs
    return ours.shape == theirs.shape and bool(np.allclose(ours, theirs, atol=ROUNDING, rtol=0))


def reasons_of_difference(text: str) -> tuple[str, ...]:
    """Name the habits of notation for which the two readings of a tune differ."""
    ours, theirs = our_notes(text), witness_notes(text)
    if agree(ours, theirs):
        return (EQUAL,)
    if ours is None or theirs is None:
        return (REFUSED if ours is None else WITNESS_STOPS,)
    for habit in HABITS:
        if habit.without(text) != text and _agree_without([habit], text):
            return (habit.name,)
    helpful = list(HABITS)
    if not _agree_without(helpful, text):
        return (UNEXPLAINED,)
    for habit in HABITS:
        fewer = [other for other in helpful if other is not habit]
        if _agree_without(fewer, text):
            helpful = fewer
    return tuple(habit.name for habit in helpful)


def _agree_without(habits: Sequence[Habit], text: str) -> bool:
    """Tell whether music21, shown another spelling, reads what we read in this one."""
    spelled = text
    for habit in reversed(habits):
        spelled = habit.without(spelled)
    return agree(our_notes(text), witness_notes(spelled))


def print_table(reasons: Counter[tuple[str, ...]]) -> None:
    """Print, reason by reason, on how many tunes it alone or together with others is the cause."""
    print(f"{'alone':>6} {'with others':>12}  {'ABC 2.1':10}  what music21 reads otherwise")
    for name in (EQUAL, UNEXPLAINED, REFUSED, WITNESS_STOPS):
        print(f"{reasons[name,]:6} {'':12}  {'':10}  {name}")
    for habit in HABITS:
        alone = reasons[habit.name,]
        others = sum(count for found, count in reasons.items() if habit.name in found) - alone
        print(f"{alone:6} {others:12}  {habit.section:10}  {habit.name}")


def main() -> None:
    """Print how many tunes differ, and why."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tunes", type=int, help="how many to draw; all of them if not given")
    wanted = parser.parse_args().tunes
    tunes = list(bundled_tunes())
    if wanted:
        tunes = random.Random(1).sample(tunes, wanted)  # noqa: S311
    reasons = Counter[tuple[str, ...]]()
    unexplained = []
    for tune in tunes:
        found = reasons_of_difference(tune.text)
        reasons[found] += 1
        if found == (UNEXPLAINED,):
            unexplained.append(tune.place)
    print_table(reasons)
    for place in unexplained:
        print(f"unexplained: {place}")


if __name__ == "__main__":
    main()
