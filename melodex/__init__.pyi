# The public names, and where each is defined; __init__.py loads them from this list.
from ._version import __version__ as __version__
from .errors import MelodexError as MelodexError
from .finder.collection.add_songs import add_songs as add_songs
from .finder.arrange_song import arrange_song as arrange_song
from .finder.collection.check_catalogue import (
    back_up as back_up,
    check_catalogue as check_catalogue,
)
from .finder.collection.correct_song import (
    correct_song as correct_song,
    undo_corrections as undo_corrections,
)
from .finder.collection.describe_songs import describe_songs as describe_songs
from .finder.reports.draw_audit import draw_audit as draw_audit
from .finder.collection.filters import song_filter as song_filter
from .finder.keeping_licks import (
    forget_lick as forget_lick,
    keep_lick as keep_lick,
    kept_lick as kept_lick,
    listed_lick as listed_lick,
    rename_lick as rename_lick,
)
from .finder.collection.open_catalogue import open_catalogue as open_catalogue
from .finder.place_lick import song_with_lick as song_with_lick
from .finder.collection.remove_song import remove_song as remove_song
from .finder.reports.report_audit import report_audit as report_audit
from .finder.reports.report_file import write_report as write_report
from .finder.reports.report_lick import report_lick as report_lick
from .finder.reports.report_pair import report_pair as report_pair
from .finder.reports.report_plan import report_plan as report_plan
from .finder.teaching.taught_lessons import (
    mark_lesson_taught as mark_lesson_taught,
    mark_lick_taught as mark_lick_taught,
    mark_song_taught as mark_song_taught,
)
from .finder.tab_of_song import (
    tab_of_song as tab_of_song,
    tab_text as tab_text,
    write_tab as write_tab,
)
from .frames.audit_tables import audit as audit
from .frames.lesson_tables import (
    judge_lessons as judge_lessons,
    plan_lessons as plan_lessons,
    plan_lessons_again as plan_lessons_again,
)
from .frames.lick_tables import (
    kept_licks as kept_licks,
    place_lick as place_lick,
    recurring_licks as recurring_licks,
)
from .frames.search_tables import (
    find_lick as find_lick,
    find_shape as find_shape,
    melody_vectors as melody_vectors,
    nearest_songs as nearest_songs,
    shared_phrases as shared_phrases,
)
from .frames.song_tables import (
    group_songs as group_songs,
    list_songs as list_songs,
)
from .frames.student_tables import (
    known_material as known_material,
    next_songs as next_songs,
    reviews_due as reviews_due,
)
from .model.results.lesson import Limits as Limits
from .model.tuning import tuning_named as tuning_named
from .parsing.lick_numbers import lick_from_notes as lick_from_notes
from .parsing.lick_tab import lick_from_tab as lick_from_tab
from .parsing.lick_text import (
    lick_from_degrees as lick_from_degrees,
    lick_from_names as lick_from_names,
)
from .search.query import (
    lick_from_abc as lick_from_abc,
    lick_from_file as lick_from_file,
    lick_from_song as lick_from_song,
)

__all__: list[str]
