"""What a typed name of a technique means; loads no numpy, since every filter is read with it."""

_LAST_WORDS = ("roll", "tuning")  # that may be left out of a name
# What else players call them. Common practice, no source.
_OTHER_NAMES = {
    "square": "alternatingthumb",
    "thumbinout": "alternatingthumb",
    "bend": "choke",
    "sawmill": "gmodal",
    "mountainminor": "gmodal",
}


def technique_key(name: str) -> str:
    """Return what is alike in all ways to write a technique's name.

    Capitals, spaces and hyphens do not matter, nor does the word "roll" or "tuning" at its end.

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
