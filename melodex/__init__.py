"""melodex finds the melodies and licks that the songs of a collection share.

Begin with ``open_catalogue`` and ``add_songs``; ``find_lick`` finds the songs that use a lick.
Tables are returned as pandas DataFrames. ``help`` on any name explains its arguments, columns,
units and errors; every error is a ``MelodexError``, which says what is wrong and what to do next.

- Songs: ``open_catalogue``, ``add_songs``, ``describe_songs``, ``correct_song``,
  ``undo_corrections``, ``list_songs``, ``group_songs``, ``remove_song``;
  ``song_filter`` chooses the songs that other functions work on; ``back_up``,
  ``check_catalogue``.
- A lick: ``lick_from_notes``, ``lick_from_names``, ``lick_from_degrees``, ``lick_from_tab``,
  ``lick_from_abc``, ``lick_from_song``, ``lick_from_file``.
- Searches: ``find_lick``, ``find_shape``, ``nearest_songs``, ``shared_phrases``,
  ``melody_vectors``.
- Licks that recur: ``recurring_licks``, ``listed_lick``, ``keep_lick``, ``kept_licks``,
  ``kept_lick``, ``rename_lick``, ``forget_lick``.
- Lessons: ``plan_lessons``, ``judge_lessons``, ``plan_lessons_again``, ``Limits``,
  ``known_material``, ``next_songs``; ``mark_song_taught``, ``mark_lick_taught``,
  ``mark_lesson_taught``, ``reviews_due``.
- A repertoire: ``audit``, ``draw_audit``.
- The banjo: ``tab_of_song``, ``arrange_song``, ``place_lick``, ``song_with_lick``, ``tab_text``,
  ``write_tab``, ``tuning_named``.
- Reports: ``report_lick``, ``report_pair``, ``report_plan``, ``report_audit``, ``write_report``.

Names are loaded when they are first used: importing melodex does no work. ``__init__.pyi`` says
where each is defined.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
