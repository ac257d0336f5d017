"""Draw what the songs of a repertoire share."""

from pathlib import Path

from melodex.finder.teaching.plan_lessons import judge_lessons
from melodex.finder.teaching.repertoire_audit import audit
from melodex.finder.written_files import check_picture_folder
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.parsing.given_path import FilePath, path_of
from melodex.report import audit_plots
from melodex.report.lesson_plot import draw_lessons


def draw_audit(  # noqa: PLR0913 - the arguments of an audit, the folder and the plan
    catalogue: Catalogue,
    folder: FilePath,
    which: SongFilter = EVERY_SONG,
    *,
    against: SongFilter | None = None,
    by: str | None = None,
    between: tuple[str, str] | None = None,
    plan: FilePath | None = None,
) -> list[Path]:
    """Draw how much of each song others teach, and the licks that each has, as SVG files.

    Two groups, if there are any, are drawn side by side as well.

    Parameters
    ----------
    folder : str or path
        Where to write the files; it is created if it is missing.
    which : SongFilter
        The songs to draw, 500 at most; of more than 120, those that share most.
    against, by, between : SongFilter, str, pair of str, or None
        As for ``audit``: the songs to compare them with, or the column of the two groups.
    plan : str, path or None
        A plan's file: also draw what is new in each of its lessons.

    Returns
    -------
    list of Path
        The files written; none if the songs share nothing.

    Raises
    ------
    AuditError
        If there are more than 500 songs, or a file cannot be written.
    PlanError
        If the plan cannot be read; it names the line.
    QueryError
        If the folder is named like a picture, no song has the column ``by``, or the column no such
        value.
    UnknownValueError
        If no song has a value of the filter.

    Examples
    --------
    ::

        print(melodex.draw_audit(catalogue, folder / "pictures", melodex.song_filter(level=(1, 2))))
    """
    target = path_of(folder)
    check_picture_folder(target)
    judged = None if plan is None else judge_lessons(catalogue, plan)
    found = audit(catalogue, which, against=against, by=by, between=between)
    files = audit_plots.draw_audit(found, target)
    return files if judged is None else [*files, *draw_lessons(judged.lessons, target)]
