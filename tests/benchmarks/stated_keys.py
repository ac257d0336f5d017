"""How often the key finder agrees with the keys that whole collections state.

Run it from the project's folder: python -m tests.benchmarks.stated_keys

Every second tune chooses between the published profiles; the others judge the choice. A modal
tune counts as major or minor by its third. The Essen books state hardly any minor key: a tune in
G minor bears "K: G" and its flats one by one, so that their modes say little.
"""

from collections import Counter
from collections.abc import Sequence

import numpy as np
from music21.analysis import discrete
from rich.console import Console
from rich.table import Table

from melodex.features.key_finding import (
    KOSTKA_PAYNE,
    KeyProfiles,
    key_correlations,
    pitch_class_weights,
)
from melodex.model.key import Key
from melodex.model.song import Song
from tests.benchmarks.measuring import COLLECTIONS
from tests.bundled import bundled_songs

MODES_WITH_A_MAJOR_THIRD = ("major", "lydian", "mixolydian")

# Source: MIREX, Audio Key Detection, as in mir_eval 0.8, key.weighted_score; the found key is a
# fifth above the stated one where it is called dominant.
MIREX_WEIGHTS = {
    "exact": 1.0,
    "dominant": 0.5,
    "relative": 0.3,
    "parallel": 0.2,
    "subdominant": 0.0,
    "other": 0.0,
}

WITNESSES = (
    discrete.KrumhanslSchmuckler,
    discrete.AardenEssen,
    discrete.SimpleWeights,
    discrete.BellmanBudge,
)


def relation_of_keys(found: int, stated: Key) -> str:
    """Name how a found key, 0 to 23 as in ``key_correlations``, relates to the stated one."""
    stated_is_minor = stated.mode not in MODES_WITH_A_MAJOR_THIRD
    found_is_minor = found >= 12
    fifths_up = (7 * (found - (stated.tonic_pitch_class or 0))) % 12
    if found_is_minor == stated_is_minor:
        return {0: "exact", 1: "dominant", 11: "subdominant"}.get(fifths_up, "other")
    relative = 3 if found_is_minor else 9
    return {0: "parallel", relative: "relative"}.get(fifths_up, "other")


def relations(songs: Sequence[Song], profiles: KeyProfiles) -> Counter[str]:
    """Count how the found keys of songs that state one relate to it."""
    return Counter(
        relation_of_keys(
            int(
                key_correlations(
                    pitch_class_weights(song.melody.pitches, song.melody.durations), profiles
                ).argmax()
            ),
            song.key,
        )
        for song in songs
        if song.key and song.key.tonic and song.key.mode and len(song.melody)
    )


def mirex_score(counts: Counter[str]) -> float:
    """Average the MIREX weights of all relations counted, from 0 to 1."""
    return sum(MIREX_WEIGHTS[kind] * count for kind, count in counts.items()) / counts.total()


def published_profiles() -> dict[str, KeyProfiles]:
    """Collect ours and the others that music21 carries."""
    profiles = {"Kostka-Payne (melodex)": KOSTKA_PAYNE}
    for witness in WITNESSES:
        major, minor = (np.array(witness().getWeights(mode)) for mode in ("major", "minor"))
        profiles[witness.__name__] = KeyProfiles(major, minor)
    return profiles


def main() -> None:
    """Print one table of choice and one of judgement."""
    console = Console()
    for first_tune, purpose in ((0, "choice: even tunes"), (1, "judgement: odd tunes")):
        table = Table("profile", "collection", *MIREX_WEIGHTS, "MIREX", title=purpose)
        for name, profiles in published_profiles().items():
            for collection in COLLECTIONS:
                counts = relations(bundled_songs(collection)[first_tune::2], profiles)
                shares = [f"{counts[kind] / counts.total():.3f}" for kind in MIREX_WEIGHTS]
                table.add_row(name, collection, *shares, f"{mirex_score(counts):.3f}")
        console.print(table)


if __name__ == "__main__":
    main()
