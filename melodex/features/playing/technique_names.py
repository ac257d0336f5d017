"""Normalise typed names of techniques; imports no numpy, since every filter is parsed with it."""

_LAST_WORDS = ("roll", "tuning")  # may be omitted from a name
# Other names that players use. Common practice, no source.
_OTHER_NAMES = {
    "square": "alternatingthumb",
    "thumbinout": "alternatingthumb",
    "bend": "choke",
    "sawmill": "gmodal",
    "mountainminor": "gmodal",
}


def technique_key(name: str) -> str:
    """Return a key that is equal for all spellings of a technique's name.

    Case, spaces and hyphens are ignored, and so is "roll" or "tuning" at the end.

    Examples
    --------
    >>> technique_key("Forward Reverse"), technique_key("forward-reverse roll")
    ('forwardreverse', 'forwardreverse')
    >>> technique_key("square roll") == technique_key("alternating-thumb roll")
    True
    """
    words = name.casefold().replace("-", " ").split()
    key = "".join(words[:-1] if len(words) > 1 and words[-1] in _LAST_WORDS else words)
    return _OTHER_NAMES.get(key, key)
