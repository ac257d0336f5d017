"""Would a player play what `arrange` writes?

Twenty tunes of the songbook and twenty bundled ones are arranged in each roll, and in the one that
suits each measure; ``checked_hands`` counts what the hands do.
"""

from collections.abc import Iterator

from melodex.banjo.arranger.arranging import arrange
from melodex.banjo.arranger.arranging_stages import STAGES
from melodex.banjo.arranger.roll_patterns import ROLLS
from melodex.errors import MelodyError
from melodex.model.song import Song
from tests.benchmarks.hands.checked_hands import Counts, Difficulty, counts_of, difficulty_of
from tests.bundled import bundled_songs
from tests.songbook import TERMS, songs_of_book

SONGBOOK_TUNES = 20
BUNDLED = ("oneills1850", "ryansMammoth")
TUNES_OF_A_COLLECTION = 10
EVERY = 37  # takes tunes from all over a collection


def tunes() -> list[Song]:
    """Choose the tunes: plain, in a metre, and on the neck."""
    plain = [song for book in TERMS for song in songs_of_book(book).values()]
    chosen = [song for song in plain if not song.metre.is_free][:SONGBOOK_TUNES]
    for collection in BUNDLED:
        rollable = (song for song in bundled_songs(collection)[::EVERY] if _is_rollable(song))
        chosen += [next(rollable) for _ in range(TUNES_OF_A_COLLECTION)]
    return chosen


def _is_rollable(song: Song) -> bool:
    try:
        arrange(song)
    except MelodyError:
        return False
    return True


def counts_by_roll(songs: list[Song]) -> Iterator[tuple[str | None, Counts]]:
    """Count over all tunes, for each roll and for the one that suits."""
    for roll in (None, *ROLLS):
        yield (
            roll,
            sum((counts_of(song, arrange(song, roll=roll), roll) for song in songs), Counts()),
        )


def report() -> None:
    """Print a line for each roll, and one for all."""
    total = Counts()
    for roll, counts in counts_by_roll(tunes()):
        print(f"{roll or 'the one that suits'}: {line_of(counts)}")
        total += counts
    print(f"all: {line_of(total)}")
    for stage, counted in difficulty_by_stage(tunes()):
        print(
            f"stage {stage}: {counted.notes / counted.measures:.2f} notes, "
            f"{counted.left_hand_moves / counted.measures:.2f} moves of the left hand, "
            f"{counted.slurs / counted.measures:.2f} slurs and "
            f"{counted.changes_of_roll / counted.measures:.2f} changes of roll a measure; "
            f"{counted.new_right_hands / counted.measures:.0%} of measures have another right hand "
            "than the one before"
        )


def difficulty_by_stage(songs: list[Song]) -> Iterator[tuple[str, Difficulty]]:
    """Count over all tunes what a learner has to do in each stage."""
    for stage in STAGES:
        yield (
            stage,
            sum((difficulty_of(arrange(song, stage=stage)) for song in songs), Difficulty()),
        )


def line_of(counts: Counts) -> str:
    """Put counts into words."""
    return (
        f"one finger twice in {counts.same_finger} of {counts.pairs} pairs at eighth-note speed "
        f"({counts.same_finger / max(counts.pairs, 1):.2%}; {counts.same_finger_by_filler} by a "
        f"filler); one string twice in {counts.same_string} ({counts.same_string_by_filler} by a "
        f"filler); {counts.half_step_fillers} of {counts.fillers} fillers a half-step from a chord "
        f"tone ({counts.half_step_drones} of them drones); {counts.melody_lost} of "
        f"{counts.melody_notes} melody notes lost; roll heard in {counts.rolls_heard} of "
        f"{counts.roomy_measures} measures of eight eighths with room and in "
        f"{counts.short_rolls_heard} of {counts.short_roomy_measures} of six"
    )


if __name__ == "__main__":
    report()
