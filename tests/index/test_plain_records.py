import json
from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from melodex.index.intake.plain_records import from_plain, to_plain
from melodex.model.song import MetreChange
from tests.strategies import metres


@dataclass(frozen=True)
class _Occasion:
    title: str
    pairs: tuple[tuple[str, int], ...] = ()
    change: MetreChange | None = None


@given(
    occasion=st.builds(
        _Occasion,
        title=st.text(),
        pairs=st.lists(st.tuples(st.text(), st.integers())).map(tuple),
        change=st.none() | st.builds(MetreChange, onset=st.floats(0, 100), metre=metres()),
    )
)
def test_a_record_survives_json(occasion):
    assert from_plain(json.loads(json.dumps(to_plain(occasion))), _Occasion) == occasion


def test_a_field_that_an_older_melodex_did_not_know_gets_its_default():
    assert from_plain({"title": "Dance"}, _Occasion) == _Occasion("Dance")
