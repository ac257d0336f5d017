"""The songbook holds what its truth file says, note for note."""

import csv
from collections import Counter
from itertools import groupby

import numpy as np
import pytest
from music21 import converter, stream

from tests.songbook import PLAIN_PLACES, SONGBOOK, TERMS, TRUTH, lick_song, songs_of_book

ABC_BOOKS = (*TERMS, "warm_ups.abc")
PLAIN_SONGS = [(file, title) for file in TERMS for title in songs_of_book(file)]
PLAIN_DECOYS = [decoy for decoy in TRUTH["decoy"] if decoy["file"].endswith(".abc")]
JUDGED_PLACES = [
    {**place, "intervals": recurrence["intervals"]}
    for recurrence in TRUTH["recurrence"]
    for place in recurrence["places"]
    if place["file"].endswith(".abc")
]


def place_name(place):
    return f"{place.get('variant', 'unplanted')}-{place['song']}-{place['first_measure']}"


def of_variant(*variants):
    places = [place for place in PLAIN_PLACES if place["variant"] in variants]
    return pytest.mark.parametrize("place", places, ids=place_name)


def of_kind(kind):
    decoys = [decoy for decoy in PLAIN_DECOYS if decoy["kind"] == kind]
    return pytest.mark.parametrize("decoy", decoys, ids=place_name)


def notes_at(place):
    """Pitches and onsets of all notes in a place's measures."""
    melody = songs_of_book(place["file"])[place["song"]].melody
    inside = (melody.measures >= place["first_measure"]) & (
        melody.measures <= place["last_measure"]
    )
    return melody.pitches[inside].tolist(), melody.onsets[inside].tolist()


def intervals_at(place):
    return np.diff(notes_at(place)[0]).tolist()


def lick_intervals(place):
    return np.diff(lick_song(place["lick"]).melody.pitches).tolist()


def tunes_by_music21(file):
    book = converter.parse(SONGBOOK / file, format="abc")
    assert isinstance(book, stream.Opus)
    return book.scores


def moved_lick(place):
    return (lick_song(place["lick"]).melody.pitches + place["transposition"]).tolist()


def first_run(pitches, lick):
    """Where a lick stands in a row of pitches, unbroken; -1 if nowhere."""
    starts = range(len(pitches) - len(lick) + 1)
    return next((at for at in starts if pitches[at : at + len(lick)] == lick), -1)


def without_repeated_notes(pitches):
    return [pitch for pitch, _ in groupby(pitches)]


def rhythm_at(place):
    """Beats from each of the lick's notes to the next, as the place has them."""
    pitches, onsets = notes_at(place)
    lick = moved_lick(place)
    start = first_run(pitches, lick)
    return np.diff(onsets[start : start + len(lick)]).tolist()


def test_there_are_at_least_24_plain_tunes_of_8_to_32_measures():
    measures = [
        songs_of_book(file)[title].measures.numbers.max().item() for file, title in PLAIN_SONGS
    ]
    assert len(measures) >= 24
    assert min(measures) >= 8
    assert max(measures) <= 32


@pytest.mark.parametrize(("file", "title"), PLAIN_SONGS)
def test_a_plain_tune_has_chords_and_lies_where_a_banjo_and_a_voice_reach(file, title):
    song = songs_of_book(file)[title]
    assert song.chords
    assert song.melody.pitches.min() >= 50  # D3, the open fourth string
    assert song.melody.pitches.max() <= 76  # E5, common practice, no source


@pytest.mark.parametrize("file", ABC_BOOKS)
def test_every_measure_fills_its_metre_and_a_pickup_is_paid_back_at_the_end(file):
    # Source: music21's own reading of the same text.
    for tune in tunes_by_music21(file):
        measures = tune.parts.first().getElementsByClass("Measure")
        lengths = [measure.duration.quarterLength for measure in measures]
        full = measures.first().timeSignature.barDuration.quarterLength
        if lengths[0] < full:
            lengths[0] += lengths.pop()
        assert set(lengths) == {full}, tune.metadata.title


@pytest.mark.parametrize("file", ABC_BOOKS)
def test_the_notes_are_those_that_music21_reads(file):
    for tune in tunes_by_music21(file):
        notes = tune.stripTies().parts.first().recurse().getElementsByClass("Note")
        pitches = [note.pitch.midi for note in notes if not note.duration.isGrace]
        ours = songs_of_book(file)[tune.metadata.title].melody.pitches
        assert ours.tolist() == pitches, tune.metadata.title


def test_every_lick_has_6_to_14_notes_within_reach_of_open_g():
    # D3 to A4: the fourth string open to the first string's seventh fret, common practice.
    for row in TRUTH["lick"]:
        pitches = lick_song(row["id"]).melody.pitches
        assert 6 <= len(pitches) <= 14
        assert pitches.min() >= 50
        assert pitches.max() <= 69


def test_every_lick_is_planted_in_four_places_or_more_and_in_three_plain_songs_or_more():
    places = Counter(place["lick"] for place in TRUTH["place"])
    songs = Counter(lick for lick, _ in {(place["lick"], place["song"]) for place in PLAIN_PLACES})
    for row in TRUTH["lick"]:
        assert places[row["id"]] >= 4
        assert songs[row["id"]] >= 3


@of_variant("exact", "transposed")
def test_an_exact_or_transposed_place_has_the_licks_notes_in_the_licks_rhythm(place):
    assert first_run(notes_at(place)[0], moved_lick(place)) >= 0
    assert rhythm_at(place) == np.diff(lick_song(place["lick"]).melody.onsets).tolist()
    assert (place["transposition"] == 0) == (place["variant"] == "exact")


@of_variant("other-chord")
def test_a_place_on_other_chords_has_the_licks_notes_in_the_licks_rhythm(place):
    assert first_run(notes_at(place)[0], moved_lick(place)) >= 0
    assert rhythm_at(place) == np.diff(lick_song(place["lick"]).melody.onsets).tolist()


@of_variant("held")
def test_a_held_place_has_the_licks_notes_in_another_rhythm(place):
    assert first_run(notes_at(place)[0], moved_lick(place)) >= 0
    assert rhythm_at(place) != np.diff(lick_song(place["lick"]).melody.onsets).tolist()


@of_variant("split")
def test_a_split_place_has_the_licks_notes_once_repeated_notes_are_joined(place):
    pitches, _ = notes_at(place)
    assert first_run(without_repeated_notes(pitches), moved_lick(place)) >= 0
    assert first_run(pitches, moved_lick(place)) == -1


@of_variant("ornamented")
def test_an_ornamented_place_has_the_licks_notes_in_order_among_others(place):
    rest_of_place = iter(notes_at(place)[0])
    assert all(pitch in rest_of_place for pitch in moved_lick(place))


@pytest.mark.parametrize("place", PLAIN_PLACES + PLAIN_DECOYS, ids=place_name)
def test_a_place_lies_within_its_song_and_names_a_known_lick(place):
    song = songs_of_book(place["file"])[place["song"]]
    assert place["lick"] in {row["id"] for row in TRUTH["lick"]}
    numbers = song.measures.numbers
    assert numbers.min() <= place["first_measure"] <= place["last_measure"] <= numbers.max()


@pytest.mark.parametrize("decoy", PLAIN_DECOYS, ids=place_name)
def test_a_decoy_does_not_have_the_intervals_of_the_lick_it_resembles(decoy):
    joined = np.diff(without_repeated_notes(notes_at(decoy)[0])).tolist()
    assert first_run(joined, lick_intervals(decoy)) == -1


@of_kind("retrograde")
def test_a_retrograde_decoy_is_the_lick_from_last_note_to_first(decoy):
    assert first_run(intervals_at(decoy), [-step for step in lick_intervals(decoy)[::-1]]) == 0


@of_kind("inversion")
def test_an_inverted_decoy_is_the_lick_upside_down(decoy):
    assert first_run(intervals_at(decoy), [-step for step in lick_intervals(decoy)]) == 0


@of_kind("contour")
def test_a_contour_decoy_goes_up_and_down_as_the_lick_does(decoy):
    contour = np.sign(lick_intervals(decoy)).tolist()
    assert np.sign(intervals_at(decoy)).tolist()[: len(contour)] == contour


@of_kind("rhythm")
def test_a_rhythm_decoy_has_the_licks_rhythm(decoy):
    rhythm = np.diff(lick_song(decoy["lick"]).melody.onsets).tolist()
    assert np.diff(notes_at(decoy)[1]).tolist()[: len(rhythm)] == rhythm


def test_every_recurrence_is_judged_and_joins_two_songs_or_more():
    for recurrence in TRUTH["recurrence"]:
        assert recurrence["judgement"] in {"real", "stock figure"}
        assert recurrence["remark"]
        assert len({place["song"] for place in recurrence["places"]}) >= 2


@pytest.mark.parametrize("place", JUDGED_PLACES, ids=place_name)
def test_a_place_of_a_recurrence_has_its_intervals(place):
    assert first_run(intervals_at(place), place["intervals"]) >= 0


def test_there_are_at_least_ten_decoys_each_with_its_reason():
    assert len(TRUTH["decoy"]) >= 10
    assert all(decoy["reason"] for decoy in TRUTH["decoy"])


@pytest.mark.parametrize("file", ABC_BOOKS)
def test_every_plain_tune_has_a_level_from_1_to_6(file):
    with (SONGBOOK / "levels.csv").open(encoding="utf-8", newline="") as levels:
        level_of = {row["title"]: int(row["level"]) for row in csv.DictReader(levels)}
    assert {level_of[title] for title in songs_of_book(file)} <= set(range(1, 7))
