"""The inputs that fuzzing starts from: our songbook, what music21 bundles, odd ones by hand."""

import random
import re
import zipfile

from melodex.parsing.corpus_walk import bundled_files
from melodex.tab_files.tab_text import tab_text
from tests.parsing.score import hand_scores
from tests.songbook import SONGBOOK
from tests.tabs import SMALL, rolled_songs, tab_of

LARGEST_SEED = 6_000  # bytes; the smaller the seeds, the more inputs a second
MOST_SEEDS = 60  # of one bundled collection


def abc_seeds() -> list[bytes]:
    """Return single tunes, and two small books."""
    books = [path.read_bytes() for path in sorted(SONGBOOK.glob("*.abc"))]
    books += bundled("airdsAirs", ".abc", largest=100_000)[:2]
    tunes = [
        tune for book in books for tune in re.split(rb"\n(?=X:)", book) if tune.startswith(b"X:")
    ]
    return [*tunes, *books[:2], *bundled("ryansMammoth", ".abc"), *ODD_TUNES]


ODD_TUNES = (
    b"X:1\nT:Odd\nM:5+3/8\nL:1/8\nK:G\nGABcd efg|[M:6+4/8]GABcde fedc|]\n",
    b"X:1\nT:Parts\nP:A2(BA)3\nM:6/8\nK:Am\nP:A\nABc|1 d3:|2 e3|]\nP:B\n|:efg a3:|\n",
    b"X:1\nT:Voices\nV:1 name=Melody\nV:2 clef=bass\nK:C\n[V:1]C-C(3DEF>G|\n[V:2]z8|\nw:one two\n",
    b'X:1\nM:C\nm:~n2=n{o}n\nK:D exp ^c\n~d2 "D7"[dfa]-[dfa]& z8|Z4|x2 {gab}a//b3/2|]\n',
    b"X:1\nT:Tied\nK:D\nd2 -d B|A-|A [FA]2- [FA]:||:G\\\nG::F4:|\n",
)


def tab_seeds() -> list[bytes]:
    """Return the start of the songbook's arrangements as text tab, and small ones by hand."""
    arranged = ["\n".join(tab_text(tab_of(song), (1, 3))) for song in rolled_songs()]
    plain = "|--0-2-3-|-------|\n|-1------|--0-0--|\n" + "|--------|-------|\n" * 3
    unlabelled = "-0---0-|-2-|\n---1---|---|\n-0-----|0--|\n-------|-2-|\n---0---|--0|\n"
    texts = (*arranged, SMALL, SMALL * 2, plain, unlabelled, *ODD_TABS)
    return [text.encode() for text in texts]


# Signs of players and of our own files that the songbook's tabs lack.
ODD_TABS = (
    """\
Title: Latch
Title: The Other Latch
Tuning: sawmill
Metre: 3+2/8
   G           D7
  1           2 [1.       3 [2.
D|]-0---2h4--|:-0---2---:|-0---3b---|] x3
B|]--1----0--|:--1--%---:|-1--------|]
G|]-0---0----|--0-------:|-0---2p0--|]
D|]----------|------x----|-------sl4|]
g|]-----0----|-----10----|---0------|]
    M  T I      M
    T
    '           ^   '
    ^               ^

Metre: free
Spacing: 3 characters = 1/16

1|--0--0--||---%----|| x2
2|--------||--------||
3|--------||--------||
4|--------||--------||
5|--------||--------||
""",
    "D|-0-2-|%|x2|\nB|-----|%|  |\nG|-----|%|  |\nD|-----|%|  |\ng|-----|%|  |\n  T I\n  ^\n",
    "D|:0-2-:|\tx3\r\nB|:----:|\r\nG|------|\r\nD|------|\r\ng|------|\r\n   P I\r\n   ^ '\r\n",
)


def lick_seeds() -> list[bytes]:
    """Return licks as users type them; the first line says in which form."""
    texts = (
        "abc\nDEG2 BAGE",
        "abc\nM:6/8\nL:1/8\nK:D\nd2 -dB|(3ABA F>E|[DF]4", "abc\nX:1\nK:G\nG4:|A2|",
        "notes\nD4 E4:q G4 A4:h. B4:1/3", "notes\nBb3 F#4 | E♭4:s d5:0.5",
        "degrees\n5, 6, 1 2 b3 5 8", "degrees\n1:q 2:e. b7,, #4' 15 | 3:1/3",
        "tab\n4:0 3:0:q 2:1", "tab\n5:7 1:12:e. | 4:2:1/3 5:0", "measures\n5-8", "measures\n0",
    )  # fmt: skip
    return [text.encode() for text in texts]


def kern_seeds() -> list[bytes]:
    """Return a few small pieces in several spines, and songs by hand."""
    song = (
        "**kern\t**text\n*M5+3/8\t*\n*k[f#]\t*\n{4.g\tla\n[8a\t.\n=\t=\n4a]}\t.\n"
        "*M4/4\t*\n2r\t.\n*-\t*-\n"
    )
    plain = (
        "!!!OTL: Plain\n**kern\n*clefG2\n*M4/4\n=1\n4c\n8d\n8e\n12f\n12g\n12a\n4b\n=2:|!\n1cc\n"
        "==\n*-\n"
    )
    return [*bundled("palestrina", ".krn")[:5], song.encode(), *[plain.encode()] * 5]


def musicxml_seeds() -> list[bytes]:
    """Return the start of a songbook arrangement, and scores by hand."""
    smallest = min(SONGBOOK.glob("*.musicxml"), key=lambda path: path.stat().st_size).read_bytes()
    ends = [match.end() for match in re.finditer(rb"</measure>", smallest)]
    return [
        smallest[: ends[1]] + b"\n</part>\n</score-partwise>\n",
        _score("4/4").encode(),
        _score("5+3/8").encode(),
    ]


def _score(metre: str) -> str:
    notes = [hand_scores.note(name) for name in ("G4", "Bb4", "rest", "D5")]
    return hand_scores.one_part("".join(notes), "".join(reversed(notes)), metre=metre)


def mxl_seeds() -> list[bytes]:
    """Return archives of a score, packed and stored, and scores to be put into an archive."""
    members = {
        "META-INF/container.xml": hand_scores.container("score.xml"),
        "score.xml": _score("3/4"),
    }
    methods = (zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED)
    archives = [hand_scores.archive(dict(members), method) for method in methods]
    return [*archives, *musicxml_seeds()]


def bundled(collection: str, suffix: str, *, largest: int = LARGEST_SEED) -> list[bytes]:
    """Return small files of a collection that music21 carries, the same ones every time."""
    paths = sorted(
        book.path
        for book in bundled_files(collection)
        if book.path.suffix == suffix and book.path.stat().st_size <= largest
    )
    chosen = random.Random(0).sample(paths, min(len(paths), MOST_SEEDS))  # noqa: S311
    return [path.read_bytes() for path in chosen]
