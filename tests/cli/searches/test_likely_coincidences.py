"""Matches that are likely coincidence: marked in words in tables, left out of reports."""

import json
import re
import sys
from dataclasses import replace

import pytest

from melodex.cli.printing.audit_text import print_audit
from melodex.cli.printing.phrase_text import print_phrase_table
from melodex.finder.collection.demo import add_songbook
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.find_lick import find_lick
from melodex.finder.reports import report_lick, report_pair
from melodex.finder.shared_phrases import shared_phrases
from melodex.finder.teaching import repertoire_audit
from melodex.finder.teaching.repertoire_audit import audit
from melodex.model.results.audit import Audit, NearDuplicate, Overview
from melodex.model.results.phrase import OtherPlaces, SharedMaterial, SharedPhrase, SongShare

MARK = "likely coincidence"
ONLY = "No match is better than expected by chance"
LICK = "D4:e E4 D4 B3 G3 A3 E3 F#3 G3:h"
SHAPE = "up, step down, leap down, down, step up, leap down, up, up long"
QUERIES = [
    ("find", "--notes", LICK),
    ("find", "--shape", SHAPE),
    ("near", "Long Table Supper"),
]
WEIR, UNLATCHED = "weir-in-spate", "unlatched"
HARMLESS = OtherPlaces((), ())


@pytest.fixture(scope="module")
def songbook(tmp_path_factory):
    """The songbook's catalogue, large enough for chance levels."""
    path = tmp_path_factory.mktemp("songbook") / "songs.db"
    with open_catalogue(path) as catalogue:
        add_songbook(catalogue)
    return path


@pytest.fixture
def search(run, songbook):
    """Run a command on the songbook."""
    return lambda *arguments: run(*arguments, "--catalogue", songbook)


def shared_at(*levels):
    """Shared phrases at some chance levels."""
    share = SongShare(WEIR, "Weir in Spate", 9, 20, 2, 4)
    return SharedMaterial(
        phrases=tuple(SharedPhrase(1, 2, 3, 4, 5, 0.9, level, 8, "as written") for level in levels),
        alignments=((),) * len(levels),
        other_places=(HARMLESS,) * len(levels),
        share_a=share,
        share_b=replace(share, song=UNLATCHED, title="Unlatched"),
        form=(),
    )


def pairs_at(*levels):
    """Songs alike as a whole at some chance levels."""
    titles = (WEIR, "Weir in Spate", UNLATCHED, "Unlatched")
    return tuple(NearDuplicate(*titles, 0.6, level, 0) for level in levels)


@pytest.mark.parametrize("query", QUERIES, ids=" ".join)
def test_rows_above_a_level_of_1_and_no_others_are_marked_in_words(search, query):
    levels = [row["expected_by_chance"] for row in json.loads(search(*query, "--json").out)]
    table = search(*query, *(["--show", "0"] if "--notes" in query else [])).out
    assert [MARK in line for line in table.splitlines()[1:]] == [level > 1 for level in levels]
    assert any(level > 1 for level in levels)
    assert any(level <= 1 for level in levels)


def test_shared_phrases_are_marked_in_words(capsys):
    print_phrase_table(shared_at(0.01, 2.5, None))
    lines = capsys.readouterr().out.splitlines()[1:]
    assert [MARK in line for line in lines] == [False, True, False]


def test_songs_alike_as_a_whole_are_marked_in_words(capsys):
    overview = Overview((), (), (), pairs_at(0.01, 2.5), (), (), ())
    print_audit(Audit(overview), {WEIR: "Weir in Spate", UNLATCHED: "Unlatched"}, 20)
    marked = [line for line in capsys.readouterr().out.splitlines() if MARK in line]
    assert len(marked) == 1
    assert "2.5" in marked[0]


def test_a_table_without_coincidences_has_no_column_of_remarks(search):
    shown = search("find", "--notes", LICK, "--limit", "3", "--show", "0").out
    assert "remark" not in shown
    assert MARK not in shown


@pytest.mark.parametrize("query", QUERIES, ids=" ".join)
def test_marked_tables_fit_80_columns_without_breaking_a_word(search, monkeypatch, query):
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TERM", "dumb")  # without escape sequences for bold type
    for stream in (sys.stdout, sys.stderr):
        monkeypatch.setattr(stream, "isatty", lambda: True)
    shown = search(*query)
    assert max(map(len, shown.out.splitlines())) <= 80
    assert {"likely", "coincidence"} <= set(shown.out.split())


def test_keys_for_programs_are_as_they_were(search):
    row = json.loads(search("near", "Long Table Supper", "--json").out)[-1]
    assert list(row) == ["song", "title", "score", "expected_by_chance", "transposition"]
    assert MARK not in search("near", "Long Table Supper", "--csv").out


def test_the_notes_of_a_coincidence_are_marked_too(search):
    notes = search("find", "--notes", LICK, "--show", "20").out.partition("\n\n")[2]
    assert re.search(rf", measures? [\d, then-]+, {MARK}\n", notes)


def test_a_query_that_finds_coincidences_only_says_so_in_a_sentence(search):
    assert ONLY in search("find", "--shape", "step up, step down").err
    assert ONLY not in search("find", "--shape", SHAPE).err
    assert ONLY not in search("find", "--notes", LICK).err


@pytest.mark.parametrize("n_moves", range(1, 7))
def test_a_shape_of_fewer_than_six_moves_is_said_to_be_weak_evidence(search, n_moves):
    said = search("find", "--shape", ", ".join(["up"] * n_moves)).err
    assert ("weak evidence" in said) == (n_moves < 6)
    assert (f"{n_moves} moves are" in said) == (1 < n_moves < 6)


def test_a_report_leaves_coincidences_out_and_says_how_many_and_why(search, tmp_path):
    path, query = tmp_path / "lick.html", ("--notes", LICK)
    rows = json.loads(search("find", *query, "--json").out)
    coincidences = sum(row["expected_by_chance"] > 1 for row in rows)
    assert search("report", *query, "--write", path).code == 0
    text = path.read_text(encoding="utf-8")
    assert text.count('id="place-') == len(rows) - coincidences
    assert f"Left out as likely coincidence: {coincidences} of {len(rows)} matches." in text


def test_a_report_that_its_limit_ends_says_of_how_many_songs(search, tmp_path):
    path = tmp_path / "lick.html"
    for limit, said in ((4, True), (57, False), (100, False)):
        search("report", "--notes", LICK, "--limit", limit, "--write", path)
        text = path.read_text(encoding="utf-8")
        assert (f"The best {limit} of 57 songs were considered." in text) == said


def test_a_report_lists_coincidences_where_they_are_wanted_marked_in_words(search, tmp_path):
    path, query = tmp_path / "lick.html", ("--notes", LICK, "--limit", "14")
    rows = json.loads(search("find", *query, "--json").out)
    coincidences = sum(row["expected_by_chance"] > 1 for row in rows)
    assert search("report", *query, "--with-coincidences", "--write", path).code == 0
    text = path.read_text(encoding="utf-8")
    assert text.count('id="place-') == len(rows)
    assert text.count(f'<span class="aside">({MARK})</span></th>') == coincidences > 0
    assert "Left out" not in text


def test_a_report_of_coincidences_only_says_that_no_match_is_better(search, tmp_path, monkeypatch):
    def by_chance(*arguments, **options):
        return [
            replace(match, expected_by_chance=9.0) for match in find_lick(*arguments, **options)
        ]

    monkeypatch.setattr(report_lick, "find_lick", by_chance)
    path = tmp_path / "lick.html"
    assert search("report", "--notes", "D4 D4", "--limit", "3", "--write", path).code == 0
    text = path.read_text(encoding="utf-8")
    assert f"{ONLY}. Left out as likely coincidence: 3 of 3 matches." in text
    assert "2 notes are weak evidence" in text


@pytest.mark.parametrize(("wanted", "shown"), [((), 1), (("--with-coincidences",), 2)])
def test_a_report_of_two_songs_leaves_coincidences_out(
    search, tmp_path, monkeypatch, wanted, shown
):
    def at_levels(catalogue, *songs):
        found = shared_phrases(catalogue, *songs)
        first, second = found.phrases[:2]
        return replace(
            found,
            phrases=(first, replace(second, expected_by_chance=3.0)),
            alignments=found.alignments[:2],
            other_places=found.other_places[:2],
        )

    monkeypatch.setattr(report_pair, "shared_phrases", at_levels)
    path = tmp_path / "pair.html"
    assert search("report", "--pair", WEIR, UNLATCHED, *wanted, "--write", path).code == 0
    text = path.read_text(encoding="utf-8")
    assert text.count('<section class="phrase"') == shown
    assert ("Left out as likely coincidence: 1 of 2 phrases." in text) == (not wanted)
    assert ("those left out included" in text) == (not wanted)
    assert (f'<span class="aside">({MARK})</span>' in text) == bool(wanted)


@pytest.mark.parametrize("wanted", [(), ("--with-coincidences",)])
def test_a_report_of_an_audit_leaves_coincidences_out(search, tmp_path, monkeypatch, wanted):
    overview = Overview((), (), (), pairs_at(0.01, 2.5, 7.0), (), (), ())
    monkeypatch.setattr(repertoire_audit, "audit", lambda *_, **__: Audit(overview))
    path = tmp_path / "audit.html"
    assert search("report", "--audit", *wanted, "--write", path).code == 0
    text = path.read_text(encoding="utf-8")
    assert text.count('<tr><th scope="row">Weir in Spate') == (3 if wanted else 1)
    assert text.count(f'<span class="aside">({MARK})</span>') == (2 if wanted else 0)
    assert ("Left out as likely coincidence: 2 of 3 pairs." in text) == (not wanted)


def test_a_plan_has_no_coincidences_to_list(search, tmp_path):
    arguments = ("--plan", tmp_path / "plan.toml", "--with-coincidences")
    stopped = search("report", *arguments, "--write", tmp_path / "plan.html")
    assert stopped.code == 2
    assert "leave --with-coincidences out" in stopped.err


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (("find", "--notes", LICK), "20 of 57 songs shown; --limit N shows more.\n"),
        (
            ("find", "--notes", LICK, "--limit", "56"),
            "56 of 57 songs shown; --limit N shows more.\n",
        ),
        (
            ("find", "--shape", SHAPE, "--limit", "2"),
            "2 of 57 songs shown; --limit N shows more.\n",
        ),
        (("near", "Long Table Supper"), "20 of 56 songs shown; --limit N shows more.\n"),
        (("near", WEIR, "--tag", "warm-up", "--limit", "1"), "1 of 8 songs shown"),
        (("licks", "--limit", "2"), "Limited to 2; --limit N may show more licks.\n"),
        (
            ("place", UNLATCHED, "--from", WEIR, "--measures", "7-8", "--limit", "1"),
            " places shown; --limit N shows more.\n",
        ),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_a_list_that_ends_at_its_limit_says_so(search, command, said):
    assert said in search(*command).err


def test_the_list_of_next_songs_says_that_it_ends_at_its_limit(search, tmp_path):
    student = tmp_path / "ann.csv"
    student.write_text("song\nUnlatched\n", encoding="utf-8")
    shown = search("next", "--student", student, "--limit", "2")
    assert shown.err == "Limited to 2; --limit N may show more songs.\n"


@pytest.mark.parametrize(
    "command",
    [
        ("find", "--notes", LICK, "--limit", "57"),
        ("find", "--notes", LICK, "--limit", "100"),
        ("near", "Long Table Supper", "--limit", "56"),
        ("find", "--notes", LICK, "--json"),
    ],
    ids=" ".join,
)
def test_a_list_that_is_whole_or_for_a_program_does_not_mention_a_limit(search, command):
    assert "--limit" not in search(*command).err


def test_a_score_just_below_1_is_not_shown_as_1(capsys):
    shared = shared_at(0.01)
    print_phrase_table(replace(shared, phrases=(replace(shared.phrases[0], score=0.9989),)))
    shown = capsys.readouterr().out
    assert "0.99" in shown
    assert "1.00" not in shown


def test_versions_of_a_tune_in_the_songbook_are_no_coincidence(songbook):
    with open_catalogue(songbook) as catalogue:
        pairs = audit(catalogue).overview.near_duplicates
    assert pairs
    assert max(pair.expected_by_chance or 0 for pair in pairs) <= 1
