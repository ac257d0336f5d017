"""What songs share: whole songs like one another, and the phrases that two songs share."""

from dataclasses import dataclass, replace

from melodex.model.results.coincidence import is_likely_coincidence


@dataclass(frozen=True, slots=True)
class NearSong:
    """A song like another one."""

    song: str
    title: str
    score: float  # 1 for the same notes at the same places of the measure, in any key
    expected_by_chance: float | None  # None is unknown
    transposition: int  # half-steps up to this song


@dataclass(frozen=True, slots=True)
class SharedPhrase:
    """A phrase that stands in two songs, or in two places of one; measures as written."""

    first_measure_a: int
    last_measure_a: int
    first_measure_b: int
    last_measure_b: int
    transposition: int  # half-steps from the first place up to the second
    score: float  # 1 for the same notes in the same rhythm, in any key
    expected_by_chance: float | None  # None is unknown
    notes: int  # that match; one for two counts once
    form: str  # how the second place plays the first: "as written", "doubled", ...


@dataclass(frozen=True, slots=True)
class OtherPlaces:
    """Where a shared phrase, or a part of it, stands once more: (first, last measure) each."""

    a: tuple[tuple[int, int], ...]
    b: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class SongShare:
    """How much of one song stands in the shared phrases."""

    song: str
    title: str
    notes: int  # within a shared phrase
    all_notes: int
    measures: int  # that a shared phrase touches, the pickup left out
    all_measures: int


@dataclass(frozen=True, slots=True)
class FormPart:
    """A part of a song; parts of one letter are alike."""

    letter: str
    first_measure: int
    last_measure: int


@dataclass(frozen=True, slots=True)
class SharedMaterial:
    """The phrases that two songs share, each once, longest first, and how much of each song.

    ``alignments`` and ``other_places`` go with ``phrases``, one each.
    """

    phrases: tuple[SharedPhrase, ...]
    alignments: tuple[tuple[tuple[int, int], ...], ...]  # (note of a, note of b), from 0
    other_places: tuple[OtherPlaces, ...]
    share_a: SongShare
    share_b: SongShare
    form: tuple[FormPart, ...]  # of a song with itself; else empty

    def without_coincidences(self) -> "SharedMaterial":
        """Return the same without the phrases that are likely coincidence.

        The shares of the songs still count them.
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
