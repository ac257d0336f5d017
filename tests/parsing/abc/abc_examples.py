"""Short ways to read one ABC tune in a test."""

from melodex.model.song import Song
from melodex.parsing.abc.abc_reader import read_abc

# Source: ABC 2.1, section 13.1.
DUSTY_MILLER = """%abc-2.1
H:This file contains some example English tunes
% note that the comments (like this one) are to highlight usages
%  and would not normally be included in such detail
O:England             % the origin of all tunes is England

X:1                   % tune no 1
T:Dusty Miller, The   % title
T:Binny's Jig         % an alternative title
C:Trad.               % traditional
R:DH                  % double hornpipe
M:3/4                 % meter
K:G                   % key
B>cd BAG|FA Ac BA|B>cd BAG|DG GB AG:|
Bdd gfg|aA Ac BA|Bdd gfa|gG GB AG:|
BG G/2G/2G BG|FA Ac BA|BG G/2G/2G BG|DG GB AG:|
W:Hey, the dusty miller, and his dusty coat;

X:2
T:Old Sir Simon the King
C:Trad.
M:9/8
K:G
D|GFG GAG G2D|GFG GAG F2D|EFE EFE EFG|A2G F2E D2:|
D|GAG GAB d2D|GAG GAB c2D|[1 EFE EFE EFG|A2G F2E D2:|\\ % no line-break in score
M:12/8                % change of meter
[2 E2E EFE E2E EFG|\\  % no line-break in score
M:9/8                 % change of meter
A2G F2E D2|]
"""


def song_of(body: str, header: str = "M:4/4\nL:1/8\nK:C", *, line_is_phrase: bool = False) -> Song:
    """Read a tune that must be readable."""
    text = f"X:1\nT:Example\n{header}\n{body}\n"
    reading = read_abc(text, "example.abc", line_is_phrase=line_is_phrase)
    assert not reading.failures, reading.failures
    return reading.songs[0]


def pitches(body: str, header: str = "M:4/4\nL:1/8\nK:C") -> list[int]:
    """Read the MIDI numbers of a tune's melody."""
    return [int(pitch) for pitch in song_of(body, header).melody.pitches]


def durations(body: str, header: str = "M:4/4\nL:1/8\nK:C") -> list[float]:
    """Read the durations of a tune's melody, in eighth notes."""
    return [float(duration) * 2 for duration in song_of(body, header).melody.durations]


def reason_of_failure(text: str) -> str:
    """Read a tune that must not be readable; return why it is not."""
    reading = read_abc(text, "example.abc")
    assert not reading.songs
    return reading.failures[0].reason
