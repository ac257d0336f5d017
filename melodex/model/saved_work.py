"""What a teacher has made and saved in the catalogue: plans, students and sets of songs."""

from dataclasses import dataclass
from enum import StrEnum


class WorkKind(StrEnum):
    """What can be saved."""

    PLAN = "plan"
    STUDENT = "student"
    SET = "set"


@dataclass(frozen=True, slots=True)
class SavedWork:
    """A plan, a student or a set of songs that is saved under a name."""

    work: str  # its id, random, so that an address never means another one
    kind: WorkKind
    name: str  # unique among those of its kind, whatever the capitals
    content: str  # as the commands read it: a plan is TOML, a student and a set are CSV
    created: str  # local date and time, ISO 8601
    changed: str
    before: str | None  # the content before the last change; None where there was none
    student: str  # of a plan, the table of the student it is for; "" for none
