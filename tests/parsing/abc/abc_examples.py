"""Helpers that read one ABC tune in a test."""

from melodex.model.song import Song
from melodex.parsing.abc.abc_reader import read_abc

# Two invented tunes. They use these features of ABC 2.1: a version (section 2.2), a file header
# (2.2.2) with comments (2.2.5), a second title (3.1.2), a repeat from the beginning (4.8), words
# after the tune (5), endings (4.9), a line that goes on (6.1.1), and a metre that changes (3.2).
TWO_GATES = """%abc-2.1
H:Written for the lower meadow
% nothing is printed of this comment
O:Wendmere           % where the tunes come from

X:1                  % the first
T:Meadow Gate, The   % its title
T:Latch the Gate     % what others call it
C:Odda Pellwick
R:waltz
M:3/4                % three beats
K:D                  % two sharps
A>FA dfd|eA cA ec|A>FA dfd|gf ed cA:|
FAA dcd|eE Ac eA|FAA dcd|gG Bd gf:|
d2 f/2e/2d fd|cA ec gc|d2 f/2e/2d fd|eA cA d2:|
W:Latch the gate behind you, love, the goats are on the green;

X:2
T:Lower Gate
C:Hob Askerlund
M:9/8
K:A
E|ABA AcA e2c|ABA AcA f2e|dcd dBd dcB|A2c B2A E2:|
e|aga aec a2e|aga aec f2d|[1 dcd dBd dcB|A2c B2A E2:|\\ % the line goes on
M:12/8               % four beats
[2 d2d dcd B2d dcB|\\ % and on
M:9/8
A2c B2A A2|]
"""


def song_of(body: str, header: str = "M:4/4\nL:1/8\nK:C", *, line_is_phrase: bool = False) -> Song:
    """Return the song of a tune that must be readable."""
    text = f"X:1\nT:Example\n{header}\n{body}\n"
    reading = read_abc(text, "example.abc", line_is_phrase=line_is_phrase)
    assert not reading.failures, reading.failures
    return reading.songs[0]


def pitches(body: str, header: str = "M:4/4\nL:1/8\nK:C") -> list[int]:
    """Return the MIDI numbers of a tune's melody."""
    return [int(pitch) for pitch in song_of(body, header).melody.pitches]


def durations(body: str, header: str = "M:4/4\nL:1/8\nK:C") -> list[float]:
    """Return the durations of a tune's melody, in eighth notes."""
    return [float(duration) * 2 for duration in song_of(body, header).melody.durations]


def reason_of_failure(text: str) -> str:
    """Return why a tune cannot be read."""
    reading = read_abc(text, "example.abc")
    assert not reading.songs
    return reading.failures[0].reason
