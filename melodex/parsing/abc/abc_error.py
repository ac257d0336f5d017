"""The error raised for an ABC tune that cannot be read."""

from melodex.errors import MelodexError


class AbcError(MelodexError):
    """A place in a tune that cannot be interpreted.

    Parameters
    ----------
    reason : str
        What is wrong, lower case, no full stop: "a bracket is not closed with ]".

    Attributes
    ----------
    line : int or None
        The line in the file, counted from 1, once it is known.
    """

    def __init__(self, reason: str) -> None:
        super().__init__(reason, "correct that place and add the file again.")
        self.line: int | None = None

    def place(self, line: int, measure: int | None = None) -> None:
        """Record where the problem is, once that is known; a place already recorded stays."""
        self.line = line
        if measure is not None:
            self.problem = f"{self.problem} (measure {measure})"
