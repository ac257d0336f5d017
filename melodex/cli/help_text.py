"""The help of a command, made from the docstring of its function."""

from typing import NamedTuple

_EXAMPLES = "Examples\n--------\n"


class HelpText(NamedTuple):
    """What a command's help says: prose before its options, examples after them."""

    prose: str
    examples: str


def help_text(docstring: str) -> HelpText:
    r"""Split a docstring at its section of examples, and let its paragraphs fill the terminal.

    Examples
    --------
    >>> help_text("Find it.\n\nIn any\nkey.\n\nExamples\n--------\nmelodex find --abc DEG").prose
    'Find it.\n\nIn any key.'
    """
    prose, _, examples = docstring.partition(_EXAMPLES)
    paragraphs = [" ".join(paragraph.split()) for paragraph in prose.strip().split("\n\n")]
    return HelpText("\n\n".join(paragraphs), f"Examples:\n{examples.strip()}")
