"""How fast kern becomes songs, beside music21 on the same files, and whether both read the same.

music21 carries kern of several voices only, so every spine is also taken out as a song of one
voice, with its reference records.

Run: python -m tests.benchmarks.kern_speed [--files N] [--voices N]
"""

import argparse
import random
import re
import time
import warnings
from collections.abc import Callable, Iterator, Sequence
from typing import Any, NamedTuple

from music21.humdrum.spineParser import HumdrumDataCollection

from melodex.model.metre import Metre
from melodex.model.song import MetreChange, Song
from melodex.parsing.corpus_walk import bundled_files, bundled_names
from melodex.parsing.file_content import decode_text
from melodex.parsing.kern.kern_reader import read_kern

SEED = 12


class KernFacts(NamedTuple):
    """What two readers are compared by."""

    notes: list[tuple[float, float, int]]  # onset and duration in quarter notes, ties joined; pitch
    measures: list[tuple[float, int]]  # onset and number; music21 numbers the first one 1 always
    metres: list[tuple[float, str]]
    signature: tuple[tuple[str, int], ...]
    repeat_ends: list[float]
    title: str | None


def bundled_kern() -> Iterator[tuple[str, str]]:
    """Yield the place and the text of every kern file that music21 carries."""
    for name in bundled_names():
        for file in bundled_files(name):
            if file.path.suffix == ".krn":
                yield file.shown_as, decode_text(file.path.read_bytes())


def splits(text: str) -> bool:
    """Whether a spine of the file splits."""
    return bool(re.search(r"^(.*\t)?\*\^(\t|$)", text, re.MULTILINE))


def voices_of(text: str) -> Iterator[str]:
    """Yield each spine of a file as a song of one voice; pieces after the first are left out."""
    first_piece = text[: text.index("*-")].splitlines()
    n_spines = next(line for line in first_piece if line.startswith("**")).count("\t") + 1
    for spine in range(n_spines):
        lines = (
            line if line.startswith("!!") else line.split("\t")[spine]
            for line in first_piece
            if line.startswith("!!") or line.count("\t") == n_spines - 1
        )
        yield "\n".join(line for line in lines if line != ".") + "\n*-\n"


def facts_by_melodex(song: Song) -> KernFacts:
    """Gather what melodex read."""
    melody = song.melody
    changes = [MetreChange(0.0, song.metre), *song.metre_changes]
    return KernFacts(
        list(
            zip(
                melody.onsets.tolist(),
                melody.durations.tolist(),
                melody.pitches.tolist(),
                strict=True,
            )
        ),
        list(zip(song.measures.onsets.tolist(), song.measures.numbers.tolist(), strict=True))[1:],
        [(change.onset, str(change.metre)) for change in changes if change.metre != Metre(0, 4)],
        song.key.signature if song.key else (),
        [line.onset for line in song.bar_lines if line.style in ("repeat end", "repeat both")],
        song.title,
    )


def facts_by_music21(text: str) -> list[KernFacts]:
    """Gather what music21 reads, of each piece's highest part with notes."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        read: Any = HumdrumDataCollection(text.splitlines()).parse()
        scores = read.scores if "Opus" in read.classes else [read]
        return [_facts_of(score) for score in scores if score.recurse().notes]


def _facts_of(score: Any) -> KernFacts:
    part = next(part for part in score.parts if part.recurse().notes)
    measures = [measure for measure in part.getElementsByClass("Measure") if measure.notesAndRests]
    numbered: list[tuple[float, int]] = []
    for measure in measures:  # music21 gives the number 0 where none is written
        number = int(measure.number) or (numbered[-1][1] if numbered else 0)
        numbered.append((float(measure.offset), number))
    flat = part.stripTies().flatten()
    signature = part["KeySignature"].first()
    repeats = [
        (measure.getOffsetBySite(part) + measure.highestTime, measure.rightBarline)
        for measure in part.getElementsByClass("Measure")
    ]
    return KernFacts(
        [
            (float(note.offset), float(note.quarterLength), max(note.pitches).midi)
            for note in flat.notes
            if not note.duration.isGrace
        ],
        numbered[1:],
        [(float(metre.offset), metre.ratioString) for metre in flat["TimeSignature"]],
        tuple((pitch.step, round(pitch.accidental.alter)) for pitch in signature.alteredPitches)
        if signature
        else (),
        [float(onset) for onset, bar in repeats if getattr(bar, "direction", "") == "end"],
        score.metadata.title,
    )


def is_read_alike(text: str) -> bool:
    """Whether both readers find the same in a file whose spines do not split."""
    songs = read_kern(text, "", "").songs
    return [facts_by_melodex(song) for song in songs] == facts_by_music21(text)


def files_a_second(read: Callable[[str], object], texts: Sequence[str]) -> float:
    """Time a reader over all texts, in processor time of this process."""
    begun = time.process_time()
    for text in texts:
        read(text)
    return len(texts) / (time.process_time() - begun)


def _report(kind: str, texts: Sequence[str]) -> None:
    def read_by_melodex(text: str) -> object:
        return read_kern(text, "", "")

    before = files_a_second(read_by_melodex, texts)
    witness = files_a_second(lambda text: HumdrumDataCollection(text.splitlines()).parse(), texts)
    ours = (before + files_a_second(read_by_melodex, texts)) / 2
    alike = sum(is_read_alike(text) for text in texts)
    print(f"{len(texts)} {kind}: melodex {ours:.0f}/s, music21 {witness:.1f}/s, ", end="")
    print(f"ratio {ours / witness:.1f}; {alike} read alike")


def main() -> None:
    """Print speeds, their ratio, and how many files both read alike."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=200, help="how many whole files to draw")
    parser.add_argument("--voices", type=int, default=300, help="how many single voices to draw")
    wanted = parser.parse_args()
    warnings.simplefilter("ignore")
    whole = [text for _, text in bundled_kern() if not splits(text)]
    random.Random(SEED).shuffle(whole)  # noqa: S311
    _report("whole files", whole[: wanted.files])
    single = [voice for text in whole[: wanted.voices] for voice in voices_of(text)]
    random.Random(SEED).shuffle(single)  # noqa: S311
    _report("single voices", single[: wanted.voices])


if __name__ == "__main__":
    main()
