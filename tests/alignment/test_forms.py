"""The forms in which a lick is searched for, and their priors."""

from itertools import product

import numpy as np
import pytest

from melodex.alignment.forms import (
    AS_WRITTEN,
    FORMS,
    FORMS_OF_ROLLS,
    INSIDE_A_ROLL,
    RULED_OUT,
    forms_between,
    forms_of,
)
from melodex.features.skeleton import Texture

TAB = Texture.TAB
TEXTURES = np.array(list(Texture), np.int8)
every_form = pytest.mark.parametrize(
    "form", {form.name: form for form in (*FORMS, *FORMS_OF_ROLLS)}.values(), ids=lambda f: f.name
)


@pytest.mark.parametrize("rolled", [False, True])
def test_as_written_comes_first_and_costs_nothing(rolled):
    first, *others = forms_of(lick_is_rolled=rolled)
    assert first is AS_WRITTEN
    assert first.priors(TEXTURES).tolist() == [0] * len(Texture)
    assert all(form.priors(TEXTURES).max() <= 0 for form in others)


@every_form
def test_a_prior_is_a_logarithm_of_odds_against_as_written(form):
    priors = form.priors(TEXTURES)
    assert priors.dtype == np.float32
    assert (priors <= 0).all()


def test_only_rolls_have_priors_of_their_own():
    plain, *others = INSIDE_A_ROLL.priors(TEXTURES).tolist()
    assert others == [-3, 0, 0]
    assert plain <= -3
    doubled = next(form for form in FORMS if form.lick_doubled)
    assert doubled.priors(TEXTURES).tolist() == [doubled.prior] * 4


def test_the_melody_of_both_rolls_is_ruled_out_in_songs_that_are_no_rolls():
    of_both = FORMS_OF_ROLLS[-1]
    assert of_both.lick_in_rolls
    assert of_both.song_in_rolls
    assert (of_both.priors(TEXTURES) == RULED_OUT).tolist() == [True, True, False, False]


def test_in_a_song_that_sounds_plain_each_other_form_is_less_likely_than_as_written():
    plain = TEXTURES[[Texture.PLAIN]]
    assert all(form.priors(plain)[0] < 0 for form in FORMS[1:])


def test_every_other_rhythm_is_as_likely():
    priors = [form.prior for form in FORMS if not form.song_in_rolls]
    assert len(set(priors[1:])) == 1


def test_a_rolled_lick_is_searched_for_in_the_plain_forms_and_by_its_melody():
    plain = {form.name for form in forms_of(lick_is_rolled=False)}
    of_roll = {form.name for form in forms_of(lick_is_rolled=True)}
    assert plain - of_roll == {"inside a roll"}
    assert of_roll - plain == {"melody of the roll", "melody of both rolls"}


@pytest.mark.parametrize(
    ("one", "other"), [pair for pair in product(Texture, repeat=2) if pair != (TAB, TAB)]
)
def test_two_melodies_are_compared_by_the_melody_inside_whichever_is_a_roll(one, other):
    names, rolled = {form.name for form in forms_between(one, other)}, (Texture.ROLLED, TAB)
    assert ("inside a roll" in names) == (other in rolled)
    assert ("melody of the roll" in names) == (one in rolled)
    assert "as written" in names


def test_two_tabs_are_compared_by_their_melodies_alone():
    assert [form.name for form in forms_between(TAB, TAB)] == ["melody of both rolls"]


@every_form
def test_no_two_forms_of_a_name_differ(form):
    assert all(other == form for other in (*FORMS, *FORMS_OF_ROLLS) if other.name == form.name)


# Chosen on the tuning half of the retrieval benchmark; a change of one calls for measuring again.
@pytest.mark.parametrize(
    ("name", "plain", "in_rolls"),
    [
        ("as written", 0, 0),
        ("doubled", -2, -2),
        ("halved", -2, -2),
        ("free rhythm", -2, -2),
        ("inside a roll", None, 0),
        ("melody of the roll", 0, 0),
        ("melody of both rolls", None, -1),
    ],
)
def test_each_form_has_the_prior_that_was_measured(name, plain, in_rolls):
    (form,) = {form for form in (*FORMS, *FORMS_OF_ROLLS) if form.name == name}
    in_plain, *_, in_tab = form.priors(TEXTURES).tolist()
    assert in_tab == in_rolls
    assert plain is None or in_plain == plain
