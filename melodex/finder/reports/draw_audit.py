"""Draw what the songs of a repertoire share."""

from pathlib import Path

from melodex.finder.teaching.plan_lessons import judge_lessons
from melodex.finder.teaching.repertoire_audit import audit
from melodex.finder.written_files import check_picture_folder
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.parsing.given_path import FilePath, path_of
from melodex.report.audit_plots import draw_overview
from melodex.report.lesson_plot import draw_lessons


def draw_audit(
    catalogue: Catalogue,
    folder: FilePath,
    which: SongFilter = EVERY_SONG,
    *,
    plan: FilePath | None = None,
) -> list[Path]:
    """Draw how much of each song others teach, and the licks that each has, as SVG files.

    Parameters
    ----------
    folder : str or path
        Where to write the files; it is created if it is missing.
    which : SongFilter
        The songs to draw, 500 at most; of more than 120, those that share most.
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
        If the folder is named like a picture.
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
    files = draw_overview(audit(catalogue, which).overview, target)
    return files if judged is None else [*files, *draw_lessons(judged.lessons, target)]
