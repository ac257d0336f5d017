"""Write a report to a file."""

from melodex.errors import MelodexError
from melodex.finder.written_files import REPORT_FILE
from melodex.parsing.given_path import FilePath, path_of
from melodex.whole_files import written_whole


def write_report(html: str, path: FilePath) -> None:
    """Write a report to a file.

    Parameters
    ----------
    html : str
        From ``report_lick``, ``report_pair``, ``report_plan`` or ``report_audit``.
    path : str or path
        The file to write, ``.html``; one of that name is replaced.

    Raises
    ------
    QueryError
        If the file's name does not end in ``.html`` or ``.htm``.
    MelodexError
        If the file cannot be written.

    Examples
    --------
    ::

        report = melodex.report_pair(catalogue, "Cinder Path", "Weir in Spate")
        melodex.write_report(report, folder / "pair.html")
    """
    path = path_of(path)
    REPORT_FILE.check(path)
    try:
        with written_whole(path) as part:
            part.write_text(html, encoding="utf-8")
    except OSError as error:
        raise MelodexError(
            f"{path} cannot be written: {error.strerror}.", "name a file in a folder of your own."
        ) from error
