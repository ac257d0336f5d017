"""Chance that depends on names alone, so that one song more or less changes no other's lot."""

import hashlib

import numpy as np


def lot_of(*words: str) -> int:
    """Draw a whole number below 2**64 for some words, always the same one."""
    return int.from_bytes(hashlib.blake2b("\n".join(words).encode(), digest_size=8).digest())


def generator_for(*words: str) -> np.random.Generator:
    """Seed a generator by some words."""
    return np.random.default_rng(lot_of(*words))
