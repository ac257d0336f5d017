"""Small scores written by hand: MusicXML measure by measure, MIDI byte by byte."""

import struct
import zipfile
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import Any

from melodex.model.reading import Failure
from melodex.model.song import Song
from melodex.parsing.formats import read_file

# Open G, from string 1 to string 5. Common practice, no source.
OPEN_G = ("D4", "B3", "G3", "D3", "G4")
JARGON = ("music21", "exception", "traceback", "stream", "spine event", "none")


def note(pitch: str, quarters: float = 1, *, more: str = "", **place: int | str) -> str:
    """Return a MusicXML note: pitch "F#4" or "rest", 12 divisions to a quarter; 0 is a grace note.

    ``place``: string and fret, staff, voice. ``more``: elements between pitch and duration.
    """
    head = "<rest/>" if pitch == "rest" else _pitch(pitch)
    length = f"<duration>{round(quarters * 12)}</duration>" if quarters else ""
    technical = "".join(
        f"<{tag}>{place[tag]}</{tag}>" for tag in ("string", "fret") if tag in place
    )
    return (
        f"<note>{'' if quarters else '<grace/>'}{more if '<chord/>' in more else ''}{head}{length}"
        f"{'' if '<chord/>' in more else more}"
        f"<voice>{place.get('voice', 1)}</voice><staff>{place.get('staff', 1)}</staff>"
        + (f"<notations><technical>{technical}</technical></notations>" if technical else "")
        + "</note>"
    )


def _pitch(name: str) -> str:
    alter = {"#": "<alter>1</alter>", "b": "<alter>-1</alter>"}.get(name[1], "")
    octave = name[2:] if alter else name[1:]
    return f"<pitch><step>{name[0]}</step>{alter}<octave>{octave}</octave></pitch>"


def tuning(open_strings: Sequence[str] = OPEN_G, *, staff: int = 1, capo: int = 0) -> str:
    """Return a tab clef and staff-details; the bottom line is the last string."""
    lines = "".join(
        f'<staff-tuning line="{line}"><tuning-step>{pitch[0]}</tuning-step>'
        f"<tuning-octave>{pitch[-1]}</tuning-octave></staff-tuning>"
        for line, pitch in enumerate(reversed(open_strings), start=1)
    )
    return (
        f'<clef number="{staff}"><sign>TAB</sign><line>5</line></clef>'
        f'<staff-details number="{staff}"><staff-lines>{len(open_strings)}</staff-lines>{lines}'
        + (f"<capo>{capo}</capo>" if capo else "")
        + "</staff-details>"
    )


def attributes(
    metre: str = "4/4", *, fifths: int = 1, mode: str = "major", more: str = "", time: str = ""
) -> str:
    """Return the attributes at the start of a part; ``more`` follows the metre."""
    beats, unit = metre.split("/")
    return (
        f"<attributes><divisions>12</divisions><key><fifths>{fifths}</fifths>"
        + (f"<mode>{mode}</mode></key>" if mode else "</key>")
        + (time or f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>")
        + f"{more}</attributes>"
    )


def part(*measures: str, numbers: Sequence[str] = (), name: str = "P1") -> str:
    """Return one part; without ``numbers`` its measures count from 1."""
    written = numbers or [str(number) for number in range(1, len(measures) + 1)]
    return (
        f'<part id="{name}">'
        + "".join(
            f'<measure number="{number}">{measure}</measure>'
            for number, measure in zip(written, measures, strict=True)
        )
        + "</part>"
    )


def score(*parts: str, names: Sequence[str] = ("",), title: str = "") -> str:
    """Return a document; part n has the id "Pn"."""
    listed = "".join(
        f'<score-part id="P{number}"><part-name>{name}</part-name></score-part>'
        for number, name in enumerate(names, start=1)
    )
    work = f"<work><work-title>{title}</work-title></work>" if title else ""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE score-partwise PUBLIC '
        '"-//Recordare//DTD MusicXML 4.0 Partwise//EN" "partwise.dtd">'
        f'<score-partwise version="4.0">{work}<part-list>{listed}</part-list>'
        f"{''.join(parts)}</score-partwise>"
    )


def one_part(*measures: str, numbers: Sequence[str] = (), metre: str = "4/4", **facts: Any) -> str:
    """Return a document of one part; ``facts`` go to ``attributes``."""
    head = attributes(metre, **facts)
    return score(part(head + measures[0], *measures[1:], numbers=numbers))


def song_from(folder: Path, content: str | bytes, name: str = "tune.musicxml") -> Song:
    """Write a file and return the one song in it."""
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    reading = read_file(path)
    assert reading.failures == ()
    (song,) = reading.songs
    return song


def failure_of(folder: Path, content: bytes, name: str) -> Failure:
    """Return the one failure for a file with this content and name."""
    path = folder / name
    path.write_bytes(content)
    reading = read_file(path)
    assert reading.songs == ()
    (failure,) = reading.failures
    assert failure.file == str(path)
    assert not any(word in failure.reason.lower() for word in JARGON)
    assert not failure.reason.endswith(".")
    return failure


def archive(members: dict[str, str | bytes], compression: int = zipfile.ZIP_STORED) -> bytes:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", compression) as packed:
        for name, content in members.items():
            packed.writestr(name, content)
    return buffer.getvalue()


def container(*paths: str) -> str:
    files = "".join(f'<rootfile full-path="{path}"/>' for path in paths)
    return f"<container><rootfiles>{files}</rootfiles></container>"


def midi(
    *tracks: Sequence[tuple[int, int, int]],
    metre: tuple[int, int] | None = None,
    names: Sequence[str] = (),
    channel: int = 1,
) -> bytes:
    """A MIDI file of notes (start, length, pitch) in ticks, 480 to a quarter note.

    Source: Standard MIDI Files specification 1.0 (from memory).
    """
    chunks = []
    for number, notes in enumerate(tracks):
        events = [(start, 0x90, pitch, 64) for start, _, pitch in notes]
        events += [(start + length, 0x80, pitch, 0) for start, length, pitch in notes]
        name = names[number].encode() if names else b""
        body = b"\0\xff\x03" + bytes([len(name)]) + name if name else b""
        if metre and number == 0:
            body += b"\0\xff\x58\x04" + bytes([metre[0], metre[1].bit_length() - 1, 24, 8])
        now = 0
        for time, status, pitch, velocity in sorted(events):
            body += _variable_length(time - now) + bytes([status | channel - 1, pitch, velocity])
            now = time
        body += b"\0\xff\x2f\0"
        chunks.append(b"MTrk" + struct.pack(">I", len(body)) + body)
    return b"MThd" + struct.pack(">IHHH", 6, 1, len(tracks), 480) + b"".join(chunks)


def _variable_length(value: int) -> bytes:
    encoded = bytes([value & 0x7F])
    while value := value >> 7:
        encoded = bytes([value & 0x7F | 0x80]) + encoded
    return encoded
