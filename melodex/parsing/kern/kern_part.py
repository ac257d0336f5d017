"""A **kern spine as a part of a score."""

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate
from pathlib import Path

from melodex.errors import ScoreParseError
from melodex.parsing.kern.humdrum_spines import Spine
from melodex.parsing.kern.kern_bars import (
    bars_by_onset,
    measures_between,
    repeat_marks,
    special_bar_lines,
)
from melodex.parsing.kern.kern_notes import KernToken, read_kern_token
from melodex.parsing.kern.kern_tandems import Event, facts_of
from melodex.parsing.part_choice import FIRST_VOICE
from melodex.parsing.written_score import WrittenNote, WrittenPart, WrittenScore

UNSTATED_DURATIONS = "Some notes state no duration; they are read as quarter notes."


def kern_part(spine: Spine, words: Mapping[int, str], shown: Path) -> WrittenPart:
    """Read a **kern spine.

    Parameters
    ----------
    spine : Spine
        The spine and its tokens.
    words : mapping of int to str
        Lyrics, by line number in the file.
    shown : Path
        The path as errors show it.

    Raises
    ------
    ScoreParseError
        At a token that is not a note, chord or rest.

    Source
    ------
    Huron, the reference of the **kern representation (The Humdrum Toolkit: Reference Manual, 1994,
    chapter 4). Pitches are sounding pitches, also for transposing instruments.
    """
    data = _data_tokens(spine, shown)
    onsets = _onsets(spine, data)
    bars = bars_by_onset(_tokens_after("=", spine, onsets))
    facts = facts_of(list(_tokens_after("*", spine, onsets)))
    remarks = [*facts.remarks]
    if spine.splits:
        remarks.append(FIRST_VOICE)
    if not all(token.states_duration for token in data.values()):
        remarks.append(UNSTATED_DURATIONS)
    score = WrittenScore(
        notes=_notes(spine, onsets, data, words),
        measures=measures_between(bars),
        end=onsets[-1],
        metres=facts.metres,
        key=facts.key,
        tempo=facts.tempo,
        bar_lines=special_bar_lines(bars),
        repeat_marks=repeat_marks(bars),
        remarks=remarks,
    )
    return WrittenPart(facts.name, staff="", has_tab_clef=False, score=score)


def _data_tokens(spine: Spine, shown: Path) -> dict[str, KernToken]:
    """Parse the tokens of notes and rests; return the result by spelling."""
    data: dict[str, KernToken] = {}
    for line, text in spine.tokens:
        if text in data or text.startswith(("=", "*", "!")):
            continue
        token = read_kern_token(text)
        if token is None:
            reason = f"{text[:40]!r} is not a note or rest in kern"
            raise ScoreParseError(shown, line=line, reason=reason)
        data[text] = token
    return data


def _onsets(spine: Spine, data: Mapping[str, KernToken]) -> list[float]:
    """Return the onset of every token, and finally the length of the music, in quarter notes.

    Durations are counted in a unit that divides all of them, so that no sum is rounded.
    """
    units = math.lcm(*(token.duration.denominator for token in data.values()))
    lengths = {
        text: token.duration.numerator * (units // token.duration.denominator)
        for text, token in data.items()
    }
    ends = accumulate((lengths.get(text, 0) for _, text in spine.tokens), initial=0)
    return [end / units for end in ends]


def _tokens_after(sign: str, spine: Spine, onsets: Sequence[float]) -> Iterator[Event]:
    """Yield the tokens that begin with a character, with their onsets."""
    for onset, (line, text) in zip(onsets, spine.tokens, strict=False):
        if text.startswith(sign):
            yield Event(onset, line, text)


def _notes(
    spine: Spine, onsets: Sequence[float], data: Mapping[str, KernToken], words: Mapping[int, str]
) -> list[WrittenNote]:
    """List the notes; lyrics are attached to the highest note of a chord, which comes last."""
    notes: list[WrittenNote] = []
    latest = -1  # the note that a phrase mark ends; the mark may come on a rest after it
    for onset, (line, text) in zip(onsets, spine.tokens, strict=False):
        token = data.get(text)
        if token is None:
            continue
        duration = token.duration.numerator / token.duration.denominator
        for pitch, is_tied in token.tones:
            notes.append(WrittenNote(onset, duration, pitch, is_tied=is_tied))
        if token.tones and duration:
            latest = len(notes) - 1
        if token.tones and line in words:
            notes[-1] = notes[-1]._replace(syllable=words[line])
        if token.ends_phrase and latest >= 0:
            notes[latest] = notes[latest]._replace(ends_phrase=True)
    return notes
