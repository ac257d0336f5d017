"""Convert frozen records to JSON-compatible lists and dictionaries, and back."""

import functools
import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any, cast


def to_plain(value: object) -> object:
    """Convert records to dictionaries and tuples to lists, recursively."""
    if is_dataclass(value):
        return {field.name: to_plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [to_plain(item) for item in cast("tuple[object, ...]", value)]
    return value


def from_plain(plain: Any, kind: object) -> Any:  # noqa: ANN401 - JSON in, the type `kind` out
    """Convert the result of `to_plain` back to an annotated type.

    Parameters
    ----------
    plain : Any
        Lists, dictionaries, text, numbers, None.
    kind : type or annotation
        A record type, ``tuple[X, ...]``, ``tuple[X, Y]``, ``X | None``, or a type that JSON has
        itself. A field missing from ``plain`` gets its default, so that records may gain fields.
    """
    if plain is None:
        return None
    if is_dataclass(kind):
        return cast("type", kind)(**fields_from_plain(plain, cast("type", kind)))
    arguments = typing.get_args(kind)
    if isinstance(kind, types.UnionType):  # X | None
        return from_plain(plain, arguments[0])
    if typing.get_origin(kind) is tuple:
        kinds = [arguments[0]] * len(plain) if arguments[-1] is Ellipsis else arguments
        return tuple(from_plain(item, each) for item, each in zip(plain, kinds, strict=True))
    return plain


def fields_from_plain(plain: Mapping[str, Any], record: type) -> dict[str, Any]:
    """Convert the given fields of a record back, without building it."""
    kinds = _field_kinds(record)
    return {name: from_plain(value, kinds[name]) for name, value in plain.items()}


@functools.cache
def _field_kinds(record: type) -> dict[str, object]:
    return typing.get_type_hints(record)
