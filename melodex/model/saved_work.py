"""Work that a teacher has saved in the catalogue: plans, students and sets of songs."""

from dataclasses import dataclass
from enum import StrEnum


class WorkKind(StrEnum):
    """The kinds of work that can be saved."""

    PLAN = "plan"
    STUDENT = "student"
    SET = "set"


@dataclass(frozen=True, slots=True)
class SavedWork:
    """A plan, a student or a set of songs, saved under a name."""

    work: str  # its id, random, so that an address never refers to another work later
    kind: WorkKind
    name: str  # unique among those of its kind, case-insensitively
    content: str  # in the format that commands read: TOML for a plan, CSV for a student or a set
    created: str  # local date and time, ISO 8601
    changed: str
    before: str | None  # the content before the last change; None if there was none
    student: str  # for a plan, the student it is for, as a table; "" for none
