import random
from itertools import pairwise

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from melodex.model.reading import Reading
from melodex.parsing.abc.abc_reader import decode_abc, read_abc
from tests.parsing.abc.abc_examples import TWO_GATES, reason_of_failure, song_of


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "no line begins with X:"),
        ("Dear diary | nothing here.", "no line begins with X:"),
        ("\x00\x01\x7f\xff" * 500, "no line begins with X:"),
        ("X:1\nT:x\nK:C\n", "no notes"),
        ("X:1\nK:C\n|:|||z|", "only rests"),
        ('X:1\nK:C\nA"G', 'not closed with "'),
        ("X:1\nK:C\nA{gf", "not closed with }"),
        ("X:1\nK:C\nA[K:G", "the field [K:G is not closed with ]"),
        ("X:1\nK:Q\nA", "unknown key 'Q'"),
        ("X:1\nL:long\nK:C\nA", "unknown unit note length 'long'"),
    ],
)
def test_what_cannot_be_read_gets_a_reason(text, reason):
    assert reason in reason_of_failure(text)


@pytest.mark.parametrize("version", [">", ">>>>>>>>"])
def test_a_mark_of_broken_rhythm_alone_does_nothing_worse_than_its_longest(version):
    assert sum(song_of(f"{version}A{version}B{version}").melody.durations) <= 2


@pytest.mark.parametrize(
    "body",
    [
        "C|" * 20_000,
        "CDEF" * 5_000,
        "[CEG]" * 20_000,
        "(9:9:99999abc" * 1_000,
        '"G"' * 50_000 + "A",
        "|:" * 50_000 + "A",
        "[1-999999999A:|" * 200,
        "[" + "1-99," * 100_000 + " A:|",
        "|" + ":" * 100_000 + "A",
        "Z9999|A|",
        "A-" * 20_000,
        "{g}" * 50_000 + "A",
        "A" + " " * 500_000 + "B",
        "[V:a]C" * 5_000,
        "A|" + "&" * 100_000 + "B|",
        "(" * 100_000 + "A",
    ],
)
def test_very_long_tunes_are_read(body):
    assert len(song_of(body).melody) > 0


@pytest.mark.parametrize(
    "text",
    [
        "X:1\nK:C\n" + "{a" * 50_000,
        "X:1\nK:C\n" + "[K:" * 50_000,
        "X:1\nK:C\n" + "Z99999|" * 10_000,
        "X:1\nK:C\n" + '"' * 99_999,
        "X:1\nK:C\n[M:" + " " * 200_000 + "]",
        "X:1\nT:x\n" + "+:y\n" * 50_000 + "K:C\n",
        "X:1\n" + "".join(f"m:{a}={b * 50}\n" for a, b in pairwise("ABCDEFGab")) + "K:C\nAAAA",
        "X:1\nK:C\n" + "(" * 100_000,
        "X:1\nK:C\nZ99999999|",
        "X:1\nK:C\nC99999999|",
        "X:1\nK:C\nC/99999|",
        "X:1\nK:C\n(999999999:1:9CDE|",
        "X:1\nm:A=" + "B" * 200 + "\nK:C\n" + "A" * 20_000,
    ],
    ids=lambda text: text[8:20],
)
def test_bombs_are_refused_and_do_no_harm(text):
    assert reason_of_failure(text)


def test_very_many_voices_are_refused():
    body = "".join(f"[V:{n}]C" for n in range(1_000))
    assert "voices" in reason_of_failure(f"X:1\nK:C\n{body}")


ABC_SCRAPS = st.sampled_from(
    [
        *"ABCdefgxzXZy0123456789/>-<^_=,'|:[](){}\"!+&%\\$#*;?@ \n~.`HTuvw",
        "X:1\n",
        "K:G\n",
        "M:6/8\n",
        "L:1/8\n",
        "w:la la\n",
        "V:2\n",
        "P:A\n",
        "[K:Am]",
        "[V:1]",
        "(3",
        "(5:4:3",
        "|1",
        ":|2",
        "[1,3",
        "|:",
        "::",
        "m:~G=A\n",
        "+:x\n",
        "%%abc-version 2.1\n",
    ]
)


@given(st.lists(ABC_SCRAPS, max_size=60))
@settings(max_examples=300)
def test_scraps_of_abc_always_give_a_reading(scraps):
    text = "".join(scraps)
    assert isinstance(read_abc(f"X:1\nK:C\n{text}", "scraps.abc"), Reading)
    assert isinstance(read_abc(text, "scraps.abc"), Reading)


@given(st.binary(max_size=300))
def test_any_bytes_always_give_a_reading(content):
    assert isinstance(read_abc(decode_abc(content), "bytes.abc"), Reading)


@given(st.integers(0, 2**32))
def test_a_real_tune_with_characters_knocked_about_gives_a_reading(seed):
    chance = random.Random(seed)  # noqa: S311
    characters = list(TWO_GATES)
    for _ in range(chance.randint(1, 30)):
        place = chance.randrange(len(characters))
        characters[place] = chance.choice(["", chance.choice(characters), "\n", "[", '"', "{", "9"])
    assert isinstance(read_abc("".join(characters), "mutated.abc"), Reading)
