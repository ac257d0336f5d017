"""Damage an input a little, partly by the grammar of its format and partly blindly."""

import random
import re
from collections.abc import Callable, Sequence
from typing import TypeAlias

# To one input. Few, so that most inputs get past the first check and into the reader.
NUMBERS_OF_CHANGES = (1, 1, 1, 2, 2, 3, 5, 8)
LONGEST_INPUT = 50_000  # bytes; mutations that double an input stop here
MOST_COPIES = 40

_NUMBER = re.compile(rb"\d+")
# Numbers that readers forget: none, one too many, the ends of machine integers, more digits than
# Python converts (4,300), what float() and Fraction() take and int() does not.
# fmt: off
ODD_NUMBERS: tuple[bytes, ...] = (
    b"", b"0", b"-1", b"00", b"1", b"2", b"3", b"64", b"99", b"127", b"128", b"255", b"256", b"999",
    b"32768", b"65536", b"99999", b"2147483648", b"99999999", b"18446744073709551616", b"1e400",
    b"1.5", b"1/3", b"1/0", b"9" * 400, b"9" * 5000, "\N{SUPERSCRIPT TWO}".encode(),
    "\N{ARABIC-INDIC DIGIT THREE}".encode(),
)
ODD_TEXTS: tuple[bytes, ...] = (
    b"\0", b"\n", b"\r", b"\n\n", b"\xff", b"\xc3", b"\xef\xbb\xbf", b"\xff\xfe", b" ", b"\t",
    b"%", b"\\",
    b"&#99999999;", b"&#xD800;", "\N{LINE SEPARATOR}".encode(),
    "\N{COMBINING ACUTE ACCENT}".encode(),
    "\N{MATHEMATICAL BOLD CAPITAL A}".encode(), b"\x1b[31m",
)
# fmt: on

Mutation: TypeAlias = Callable[[bytes, random.Random], bytes]


def mutated(seeds: Sequence[bytes], tokens: Sequence[bytes], chance: random.Random) -> bytes:
    """Return a damaged copy of one of the seeds.

    Parameters
    ----------
    seeds : sequence of bytes
        Whole inputs; a piece of another one may be put in.
    tokens : sequence of bytes
        Pieces of the format's grammar to insert.
    """

    def insert_token(content: bytes, chance: random.Random) -> bytes:
        return _insert(content, chance.choice(tokens), chance)

    def overwrite_by_token(content: bytes, chance: random.Random) -> bytes:
        token, place = chance.choice(tokens), chance.randint(0, len(content))
        return content[:place] + token + content[place + len(token) :]

    def splice(content: bytes, chance: random.Random) -> bytes:
        start, end = _stretch(other := chance.choice(seeds), chance)
        return _insert(content, other[start:end], chance)

    mutations: tuple[Mutation, ...] = (
        *_BLIND,
        insert_token,
        insert_token,
        overwrite_by_token,
        overwrite_by_token,
        splice,
    )
    content = chance.choice(seeds)
    for _ in range(chance.choice(NUMBERS_OF_CHANGES)):
        content = chance.choice(mutations)(content, chance)[:LONGEST_INPUT]
    return content


def _flip_bit(content: bytes, chance: random.Random) -> bytes:
    if not content:
        return content
    place = chance.randrange(len(content))
    flipped = content[place] ^ (1 << chance.randrange(8))
    return content[:place] + bytes([flipped]) + content[place + 1 :]


def _delete(content: bytes, chance: random.Random) -> bytes:
    start, end = _stretch(content, chance)
    return content[:start] + content[end:]


def _move(content: bytes, chance: random.Random) -> bytes:
    start, end = _stretch(content, chance)
    return _insert(content[:start] + content[end:], content[start:end], chance)


def _repeat(content: bytes, chance: random.Random) -> bytes:
    start, end = _stretch(content, chance)
    return content[:start] + content[start:end] * chance.randint(2, MOST_COPIES) + content[end:]


def _cut_off(content: bytes, chance: random.Random) -> bytes:
    return content[: chance.randint(0, len(content))]


def _odd_number(content: bytes, chance: random.Random) -> bytes:
    numbers = list(_NUMBER.finditer(content))
    if not numbers:
        return _insert(content, chance.choice(ODD_NUMBERS), chance)
    number = chance.choice(numbers)
    return content[: number.start()] + chance.choice(ODD_NUMBERS) + content[number.end() :]


def _odd_text(content: bytes, chance: random.Random) -> bytes:
    return _insert(content, chance.choice(ODD_TEXTS), chance)


def _swap_lines(content: bytes, chance: random.Random) -> bytes:
    lines = content.split(b"\n")
    first, second = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[first], lines[second] = lines[second], lines[first]
    return b"\n".join(lines)


_BLIND: tuple[Mutation, ...] = (
    _flip_bit, _delete, _move, _repeat, _cut_off, _odd_number, _odd_number, _odd_text, _swap_lines,
)  # fmt: skip


def _insert(content: bytes, piece: bytes, chance: random.Random) -> bytes:
    place = chance.randint(0, len(content))
    return content[:place] + piece + content[place:]


def _stretch(content: bytes, chance: random.Random) -> tuple[int, int]:
    """Choose a stretch of an input, most often a short one."""
    start = chance.randint(0, len(content))
    longest = chance.choice((4, 16, 64, len(content)))
    return start, min(start + chance.randint(0, longest), len(content))
