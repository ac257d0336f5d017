"""Records as a DataFrame."""

from collections.abc import Sequence
from dataclasses import asdict, fields
from typing import Any

import pandas as pd


def table_of(kind: type[Any], records: Sequence[Any]) -> pd.DataFrame:
    """Make a table of dataclass records, a column for each field, also when there is no record."""
    columns = [field.name for field in fields(kind)]
    return pd.DataFrame([asdict(record) for record in records], columns=columns)
