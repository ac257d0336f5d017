"""Parse tandem interpretations of **kern: metre, key, tempo and the name of a part."""

import re
from collections.abc import Sequence
from typing import NamedTuple

from melodex.model.key import SHARPS_OF_MODE, Key, signature_of
from melodex.model.metre import FREE_METRE, Metre
from melodex.model.song import MetreChange
from melodex.parsing.metre_text import metre_from_ratios

EXPANSIONS = "It has lists of sections to be played, which are not followed: it is kept as written."
STRANGE_METRE = "The metre {!r} in line {} is not valid; from there on the metre is unknown."

# Source: the reference of the **kern representation, "Tandem interpretations" (*M6/8, *MM96,
# *k[f#c#], *c#:) and section 4.2 of "Everything You Need to Know About the Humdrum **kern
# Representation" (*>[A,A,B]); modal keys (*d:dor) are those of the Palestrina files.
_METRE = re.compile(r"\*M(\d.*|[X?])")
_TEMPO = re.compile(r"\*MM(\d{1,4}(?:\.\d{1,4})?)")
_KEY = re.compile(r"\*([A-Ga-g])([#-]{0,2}):([a-z]*)")
_SIGNATURE = re.compile(r"\*k\[((?:[a-g](?:#{1,2}|-{1,2}|n))*)\]")
_NAME = re.compile(r'\*I"(.*\S)')
_EXPANSION = re.compile(r"\*>.*\[")
_MODES = {mode[:3]: mode for mode in SHARPS_OF_MODE} | {"ion": "major", "aeo": "minor"}
_BREVES = re.compile(r"(\d{1,2})/(0{1,3})")  # the unit: 0 a breve, 00 a long, 000 a maxima


class Event(NamedTuple):
    """A token and its onset."""

    onset: float  # quarter notes from the start of the music
    line: int
    text: str


class PartFacts(NamedTuple):
    """The facts about a part in its tandem interpretations."""

    metres: list[MetreChange]  # the first at 0; empty if none is stated
    key: Key | None
    tempo: float | None  # quarter notes a minute
    name: str
    remarks: list[str]


def facts_of(tandems: Sequence[Event]) -> PartFacts:
    """Collect the facts in tandem interpretations sorted by time: the first key, tempo and name."""
    metres, remarks = _metres(tandems)
    texts = [tandem.text for tandem in tandems]
    tempo, name = _first(_TEMPO, texts), _first(_NAME, texts)
    if _first(_EXPANSION, texts):
        remarks.append(EXPANSIONS)
    return PartFacts(
        metres,
        _key(texts),
        round(float(tempo[1]), 3) or None if tempo else None,
        name[1] if name else "",
        remarks,
    )


def _first(pattern: re.Pattern[str], texts: Sequence[str]) -> re.Match[str] | None:
    return next(filter(None, map(pattern.match, texts)), None)


def _metres(tandems: Sequence[Event]) -> tuple[list[MetreChange], list[str]]:
    changes: list[MetreChange] = []
    remarks: list[str] = []
    for tandem in tandems:
        stated = _METRE.fullmatch(tandem.text)
        if not stated:
            continue
        metre = _metre(stated[1])
        if metre is None:
            remarks.append(STRANGE_METRE.format(tandem.text[:20], tandem.line))
        if not changes or (metre or FREE_METRE) != changes[-1].metre:
            changes.append(MetreChange(tandem.onset, metre or FREE_METRE))
    if changes and changes[0].onset > 0:
        changes.insert(0, MetreChange(0.0, FREE_METRE))
    return changes, remarks


def _metre(text: str) -> Metre | None:
    """Return a metre; "X" and "?" mean that there is none or that it is unknown."""
    if text in ("X", "?"):
        return FREE_METRE
    breves = _BREVES.fullmatch(text)
    if breves:
        return metre_from_ratios(f"{int(breves[1]) * 2 ** len(breves[2])}/1")
    return metre_from_ratios(text)


def _key(texts: Sequence[str]) -> Key | None:
    """Return the key and signature as stated; a key without a signature gets the usual one."""
    stated, key = _first(_SIGNATURE, texts), _first(_KEY, texts)
    accidentals = re.findall(r"([a-g])(#+|-+)", stated[1]) if stated else []
    signature = tuple(
        (letter.upper(), len(signs) if signs[0] == "#" else -len(signs))
        for letter, signs in accidentals
    )
    if not key:
        return Key("", "", signature) if stated else None
    tonic = key[1].upper() + key[2].replace("-", "b")
    plain_mode = "major" if key[1].isupper() else "minor"
    mode = _MODES.get(key[3][:3], "") if key[3] else plain_mode
    return Key(tonic, mode, signature if stated or not mode else signature_of(tonic, mode))
