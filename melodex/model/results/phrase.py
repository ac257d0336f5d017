"""What songs share: similar songs, and the phrases that two songs share."""

from dataclasses import dataclass, replace

from melodex.model.results.coincidence import is_likely_coincidence


@dataclass(frozen=True, slots=True)
class NearSong:
    """A song similar to another one."""

    song: str
    title: str
    score: float  # 1 for the same notes at the same positions in the measure, in any key
    expected_by_chance: float | None  # None is unknown
    transposition: int  # half-steps to this song; up is positive


@dataclass(frozen=True, slots=True)
class ClosePair:
    """Two songs that are close to each other as whole melodies, by their ids."""

    song_a: str
    song_b: str
    score: float  # 1 for the same notes at the same places of the measure, in any key
    expected_by_chance: float | None  # None is unknown


@dataclass(frozen=True, slots=True)
class SharedPhrase:
    """A phrase found in two songs, or in two places of one; measures as written."""

    first_measure_a: int
    last_measure_a: int
    first_measure_b: int
    last_measure_b: int
    transposition: int  # half-steps from the first place to the second; up is positive
    score: float  # 1 for the same notes in the same rhythm, in any key
    expected_by_chance: float | None  # None is unknown
    notes: int  # matching notes; two matched with one count once
    form: str  # how the second place varies the first: "as written", "doubled", ...


@dataclass(frozen=True, slots=True)
class OtherPlaces:
    """Further places of a shared phrase or a part of it: (first, last measure) each."""

    a: tuple[tuple[int, int], ...]
    b: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class SongShare:
    """How much of one song is in the shared phrases."""

    song: str
    title: str
    notes: int  # in a shared phrase
    all_notes: int
    measures: int  # that overlap a shared phrase, without the pickup
    all_measures: int


@dataclass(frozen=True, slots=True)
class FormPart:
    """A section of a song; sections with the same letter are similar."""

    letter: str
    first_measure: int
    last_measure: int


@dataclass(frozen=True, slots=True)
class SharedMaterial:
    """The phrases that two songs share, each once, longest first, and their share of each song.

    ``alignments`` and ``other_places`` are parallel to ``phrases``.
    """

    phrases: tuple[SharedPhrase, ...]
    alignments: tuple[tuple[tuple[int, int], ...], ...]  # (note of a, note of b), from 0
    other_places: tuple[OtherPlaces, ...]
    share_a: SongShare
    share_b: SongShare
    form: tuple[FormPart, ...]  # for a song compared with itself; otherwise empty

    def without_coincidences(self) -> "SharedMaterial":
        """Return a copy without the phrases that are likely coincidences.

        The songs' shares still include them.
        """
        kept = [
            number
            for number, phrase in enumerate(self.phrases)
            if not is_likely_coincidence(phrase.expected_by_chance)
        ]
        return replace(
            self,
            phrases=tuple(self.phrases[number] for number in kept),
            alignments=tuple(self.alignments[number] for number in kept),
            other_places=tuple(self.other_places[number] for number in kept),
        )
