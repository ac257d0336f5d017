"""The error that stops the reading of one ABC tune."""

from melodex.errors import MelodexError


class AbcError(MelodexError):
    """A place in a tune that has no sensible reading.

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
        """Add the place of the problem, as soon as it is known."""
        self.line = line
        if measure is not None:
            self.problem = f"{self.problem} (measure {measure})"
