"""The other forms of the retrieval benchmark: what each keeps, and which tunes it fits."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from music21 import scale as witness

from melodex.model.key import Key
from melodex.model.metre import Metre
from melodex.model.results.match import Match
from tests.benchmarks.quality.retrieval_changes import Passage, scaled
from tests.benchmarks.quality.retrieval_form_changes import FIVE_NOTES, FORMS, OTHER_MODE, Home
from tests.benchmarks.quality.retrieval_forms import home_of
from tests.benchmarks.quality.retrieval_probes import passages_in_turn, quarters_of, verdict_on
from tests.songbook import TERMS, songs_of_book
from tests.strategies import melody_of, song_of

PAIR, QUARTER, FOUR_SIXTEENTHS = (0.5, 0.5), (1.0,), (0.25,) * 4
JIG_BEATS = ((0.5, 0.5, 0.5), (1.0, 0.5), (1.5,))
C_MAJOR = Home(0, "major")
SONGS = [song for term in TERMS for song in songs_of_book(term).values()]


def passage_in(metre, values, pitches, position=0.0):
    onsets = np.cumsum([0.0, *values])[:-1].tolist()
    scale = frozenset(pitch % 12 for pitch in pitches)
    return Passage(tuple(pitches), tuple(onsets), tuple(values), metre, position, scale)


@st.composite
def passages_of_beats(draw, metres, beats):
    """Whole beats of a running line, from a random beat of the measure on."""
    metre = draw(st.sampled_from(metres))
    values = [value for beat in draw(st.lists(beats, min_size=4, max_size=12)) for value in beat]
    pitches = draw(st.lists(st.integers(55, 79), min_size=len(values), max_size=len(values)))
    length = sum(draw(beats))
    return passage_in(metre, values, pitches, length * draw(st.integers(-1, 3)))


reels = passages_of_beats([Metre(2, 2), Metre(4, 4)], st.sampled_from([PAIR, PAIR, QUARTER]))
reels_with_sixteenths = passages_of_beats(
    [Metre(2, 2), Metre(4, 4)], st.sampled_from([PAIR, PAIR, PAIR, PAIR, QUARTER, FOUR_SIXTEENTHS])
)
jigs = passages_of_beats([Metre(6, 8)], st.sampled_from(JIG_BEATS))
running_pairs = passages_of_beats([Metre(4, 4), Metre(3, 4)], st.just(PAIR))
homes = st.builds(Home, st.integers(0, 11), st.sampled_from(sorted(OTHER_MODE)))


def changed(form, passage, home=None):
    result = FORMS[form](passage, home)
    assert result is not None
    return result


def changed_if_it_fits(form, passage, home=None):
    result = FORMS[form](passage, home)
    assume(result is not None)
    return result


def onsets_in_measure(passage):
    return passage.position + np.array(passage.onsets) - passage.onsets[0]


def on_multiples_of(passage, beat):
    places = onsets_in_measure(passage) / beat
    return {round(place): note for note, place in enumerate(places) if place == round(place)}


def beat_strengths(passage):
    return passage.lick("").melody.beat_strengths


@given(reel=reels_with_sixteenths)
def test_a_reel_played_long_short_keeps_its_pitches_and_the_onsets_of_its_beats(reel):
    jig = changed_if_it_fits("reel as jig, long-short", reel)
    assert jig.pitches == reel.pitches
    assert jig.metre == Metre(6, 8)
    assert on_multiples_of(jig, 1.5) == on_multiples_of(reel, 1.0)
    assert sum(jig.durations) == pytest.approx(1.5 * sum(reel.durations))


def test_each_pair_of_a_reel_becomes_a_quarter_and_an_eighth():
    reel = passage_in(Metre(2, 2), (0.5, 0.5, 0.5, 0.5, 1.0), (69, 66, 62, 66, 69))
    jig = changed("reel as jig, long-short", reel)
    np.testing.assert_allclose(jig.durations, (1.0, 0.5, 1.0, 0.5, 1.5))
    np.testing.assert_allclose(beat_strengths(jig), (1.0, 0.25, 0.5, 0.25, 1.0))


@given(reel=reels)
def test_a_reel_played_as_a_jig_of_all_notes_keeps_its_notes_and_its_bar_line(reel):
    jig = changed_if_it_fits("reel as jig, all notes", reel)
    assert (jig.pitches, jig.durations) == (reel.pitches, reel.durations)
    length = float(reel.metre.measure_length)
    bar_line = -reel.position % length
    for note in np.flatnonzero(np.array(reel.onsets) == bar_line).tolist():
        assert beat_strengths(reel)[note] == beat_strengths(jig)[note] == 1


def test_the_running_notes_of_a_jig_of_all_notes_come_three_to_a_beat():
    jig = changed("reel as jig, all notes", passage_in(Metre(4, 4), (0.5,) * 8, range(60, 68)))
    assert beat_strengths(jig).tolist() == [1, 0.25, 0.25, 0.5, 0.25, 0.25, 1, 0.25]


@given(reel=reels, form=st.sampled_from(["reel as jig, all notes", "reel as jig, long-short"]))
def test_a_reel_in_sixteenths_of_two_four_becomes_the_same_jig_as_in_eighths(reel, form):
    in_sixteenths = replace(scaled(reel, 0.5), metre=Metre(2, 4))
    assert FORMS[form](in_sixteenths, None) == changed_if_it_fits(form, reel)


@given(reel=reels)
def test_a_long_short_jig_played_as_a_reel_is_the_reel_again_in_values_twice_as_long(reel):
    again = changed("jig as reel", changed_if_it_fits("reel as jig, long-short", reel))
    expected = scaled(reel, 2)
    assert again.pitches == expected.pitches
    np.testing.assert_allclose(again.onsets, expected.onsets)
    np.testing.assert_allclose(again.durations, expected.durations)
    assert again.position == pytest.approx(expected.position)


@given(jig=jigs)
def test_a_jig_played_as_a_reel_keeps_its_pitches_beats_and_downbeats(jig):
    reel = changed_if_it_fits("jig as reel", jig)
    assert reel.pitches == jig.pitches
    assert on_multiples_of(reel, 2.0) == on_multiples_of(jig, 1.5)
    assert ((beat_strengths(reel) == 1) == (beat_strengths(jig) == 1)).all()


def test_in_a_jig_as_reel_pairs_are_even_and_of_three_eighths_the_first_is_held():
    jig = passage_in(Metre(6, 8), (1.0, 0.5, 0.5, 0.5, 0.5), (67, 69, 71, 69, 67))
    reel = changed("jig as reel", jig)
    np.testing.assert_allclose(reel.durations, (1.0, 1.0, 1.0, 0.5, 0.5))


@given(reel=reels)
def test_quarters_for_eighths_are_the_notes_on_the_quarters_each_held_until_the_next(reel):
    simpler = changed_if_it_fits("quarters for eighths", reel)
    kept = on_multiples_of(reel, 1.0)
    assert simpler.pitches == tuple(reel.pitches[note] for note in kept.values())
    assert set(simpler.durations) == {1.0}
    np.testing.assert_array_equal(beat_strengths(simpler), beat_strengths(reel)[[*kept.values()]])


def test_sixteenths_of_two_four_make_quarters_once_they_are_written_as_eighths():
    hornpipe = passage_in(Metre(2, 4), (0.25,) * 16, range(60, 76))
    assert FORMS["quarters for eighths"](hornpipe, None) is None
    quarters = quarters_of(hornpipe, None)
    assert quarters is not None
    assert (quarters.metre, set(quarters.durations)) == (Metre(4, 4), {1.0})
    assert quarters.pitches == tuple(range(60, 76, 2))


@pytest.mark.parametrize(
    ("mode", "scale", "other"),
    [
        ("major", witness.MajorScale, witness.MinorScale),
        ("minor", witness.MinorScale, witness.MajorScale),
        ("mixolydian", witness.MixolydianScale, witness.DorianScale),
        ("dorian", witness.DorianScale, witness.MixolydianScale),
    ],
)
@pytest.mark.parametrize("tonic", ["C", "D", "F#"])
def test_the_other_mode_of_a_major_tune_is_its_parallel_minor_and_so_on(mode, scale, other, tonic):
    # Source: music21, scale.MajorScale and the like.
    before, after = (
        [pitch.midi for pitch in kind(tonic).getPitches(f"{tonic}4", f"{tonic}5")]
        for kind in (scale, other)
    )
    tune = passage_in(Metre(4, 4), (1.0,) * len(before), before)
    moved = changed("other mode", tune, Home(before[0] % 12, mode))
    assert moved.pitches == tuple(after)
    assert (moved.onsets, moved.durations) == (tune.onsets, tune.durations)
    assert moved.scale == {pitch % 12 for pitch in after}


@given(home=homes, pitches=st.lists(st.integers(55, 79), min_size=8, max_size=16))
def test_after_the_pentatonic_simplification_five_notes_are_left_in_the_same_time(home, pitches):
    tune = passage_in(Metre(4, 4), (0.5,) * len(pitches), pitches)
    simpler = changed_if_it_fits("pentatonic", tune, home)
    five = FIVE_NOTES[home.mode]
    assert {(pitch - home.tonic) % 12 for pitch in simpler.pitches} <= five
    assert sum(simpler.durations) == sum(tune.durations)
    kept = {note[0]: note[2] for note in tune.notes() if (note[2] - home.tonic) % 12 in five}
    after = dict(zip(simpler.onsets, simpler.pitches, strict=True))
    assert {onset: after[onset] for onset in kept} == kept
    assert set(after) <= set(tune.onsets)


def test_a_weak_note_outside_the_five_is_merged_and_a_strong_one_becomes_its_neighbour():
    # C major: F on a beat becomes E, B on a beat C; F and B off the beat go.
    tune = passage_in(Metre(4, 4), (1.0, 1.0, 0.5, 0.5, 1.0), (60, 67, 65, 71, 71))
    simpler = changed("pentatonic", tune, C_MAJOR)
    assert simpler.notes() == [(0, 1.0, 60), (1, 1.0, 67), (2, 1.0, 64), (3, 1.0, 72)]


@given(line=running_pairs)
def test_dotted_for_even_keeps_the_beats_and_even_for_dotted_undoes_it(line):
    dotted = changed("dotted for even", line)
    assert dotted.pitches == line.pitches
    assert on_multiples_of(dotted, 1.0) == on_multiples_of(line, 1.0)
    assert dotted.durations == (0.75, 0.25) * (len(line) // 2)
    assert changed("even for dotted", dotted) == line


def test_a_pair_with_the_short_note_first_is_played_even_too():
    strathspey = passage_in(Metre(4, 4), (0.25, 0.75, 0.75, 0.25, 1.0), (60, 62, 64, 65, 67))
    even = changed("even for dotted", strathspey)
    assert even.durations == (0.5, 0.5, 0.5, 0.5, 1.0)


@pytest.mark.parametrize(
    ("form", "metre", "values"),
    [
        ("reel as jig, all notes", Metre(6, 8), (0.5,) * 8),
        ("reel as jig, long-short", Metre(3, 4), (0.5,) * 8),
        ("reel as jig, long-short", Metre(4, 4), (1.0,) * 8),
        ("reel as jig, long-short", Metre(4, 4), (1 / 3,) * 3 + (0.5,) * 6),
        ("jig as reel", Metre(4, 4), (0.5,) * 8),
        ("jig as reel", Metre(6, 8), (1.5,) * 8),
        ("quarters for eighths", Metre(6, 8), (0.5,) * 8),
        ("quarters for eighths", Metre(4, 4), (0.5,) * 6),
        ("dotted for even", Metre(6, 8), (0.5,) * 8),
        ("even for dotted", Metre(4, 4), (0.5,) * 8),
        ("other mode", Metre(4, 4), (0.5,) * 8),
        ("pentatonic", Metre(4, 4), (0.5,) * 8),
    ],
)
def test_a_form_leaves_a_passage_alone_whose_metre_rhythm_or_key_it_does_not_fit(
    form, metre, values
):
    tune = passage_in(metre, values, range(60, 60 + len(values)))
    assert FORMS[form](tune, None) is None


def test_a_stated_key_counts_where_the_tune_ends_on_its_tonic():
    key = Key("D", "major")
    ending_on_it = song_of(melody_of(66, 64, 62), key=key)
    assert home_of(ending_on_it) == Home(2, "major")
    assert home_of(ending_on_it, shift=-3) == Home(11, "major")
    assert home_of(song_of(melody_of(62, 64, 66), key=key)) is None
    assert home_of(song_of(melody_of(66, 64, 62))) is None


@pytest.mark.parametrize("song", SONGS, ids=lambda song: song.title)
def test_probes_cut_a_song_into_passages_of_four_measures_that_leave_out_no_note(song):
    passages = dict(passages_in_turn(song))
    first, *_ = passages
    assert first == "1-4"
    pitches = [pitch for passage in passages.values() for pitch in passage.pitches]
    assert pitches == song.melody.pitches[song.melody.measures >= 1].tolist()


def match_of(song, level):
    return Match(song, song, 1, 4, (1, 2, 3, 4), 0, 0.5, 3, level, "as written", (), 1)


def test_a_probe_counts_only_the_false_matches_above_the_song_and_its_versions():
    matches = [
        match_of("stranger", 0.5),
        match_of("other stranger", None),
        match_of("version", 0.6),
        match_of("third stranger", 0.001),
        match_of("itself", 0.7),
    ]
    assert verdict_on(matches, "itself", {"version"}) == (5, 3, 0.5)
    assert verdict_on(matches[2:], "itself", {"version"}) == (3, 1, None)
    assert verdict_on(matches[:2], "itself", {"version"}) == (None, None, 0.5)
