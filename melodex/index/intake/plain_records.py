"""Frozen records to plain lists and dictionaries, as JSON has them, and back."""

import functools
import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any, cast


def to_plain(value: object) -> object:
    """Turn records into dictionaries and tuples into lists, however deep."""
    if is_dataclass(value):
        return {field.name: to_plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [to_plain(item) for item in cast("tuple[object, ...]", value)]
    return value


def from_plain(plain: Any, kind: object) -> Any:  # noqa: ANN401 - JSON in, what `kind` says out
    """Turn what `to_plain` gave back into the type that an annotation names.

    Parameters
    ----------
    plain : Any
        Lists, dictionaries, text, numbers, None.
    kind : type or annotation
        A record type, ``tuple[X, ...]``, ``tuple[X, Y]``, ``X | None``, or a type kept as it is.
        A record's field that is missing from ``plain`` gets its default, so that records may gain
        fields.
    """
    if plain is None:
        return None
    if is_dataclass(kind):
        return cast("type", kind)(**fields_from_plain(plain, cast("type", kind)))
    arguments = typing.get_args(kind)
    if isinstance(kind, types.UnionType):  # of a type and None
        return from_plain(plain, arguments[0])
    if typing.get_origin(kind) is tuple:
        kinds = [arguments[0]] * len(plain) if arguments[-1] is Ellipsis else arguments
        return tuple(from_plain(item, each) for item, each in zip(plain, kinds, strict=True))
    return plain


def fields_from_plain(plain: Mapping[str, Any], record: type) -> dict[str, Any]:
    """Turn the named fields of a record back, without building it."""
    kinds = _field_kinds(record)
    return {name: from_plain(value, kinds[name]) for name, value in plain.items()}


@functools.cache
def _field_kinds(record: type) -> dict[str, object]:
    return typing.get_type_hints(record)
