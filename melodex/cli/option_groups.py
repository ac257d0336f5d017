"""Groups of options, declared once for every command that takes them."""

from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import is_dataclass
from functools import wraps
from inspect import Parameter, Signature, signature
from typing import Annotated, Any, NamedTuple, get_args, get_origin

from typer.models import OptionInfo


class Prefixed(NamedTuple):
    """How a command takes a group a second time: ``--tag`` becomes ``--against-tag``."""

    prefix: str
    begin_of_help: str  # put before the help of each option
    panel: str  # of the help, in which they are listed
    without: tuple[str, ...] = ()  # fields of the group that are not taken


class _Group(NamedTuple):
    """One parameter of a command that is a group."""

    kind: Any  # a dataclass
    options: Mapping[str, Parameter]  # by field


def grouped_options(command: Callable[..., None]) -> Callable[..., None]:
    """Replace each parameter that is a group of options by the options of the group.

    A group is a dataclass whose fields are annotated for Typer, perhaps with a `Prefixed`. Typer
    reads a command's options from its signature, which therefore lists them one by one.
    """
    groups: dict[str, _Group] = {}
    parameters: list[Parameter] = []
    for parameter in signature(command).parameters.values():
        if (group := _group_of(parameter.annotation)) is None:
            parameters.append(parameter)
        else:
            groups[parameter.name] = group
            parameters += group.options.values()

    @wraps(command)
    def run(**given: object) -> None:
        taken = {
            name: group.kind(
                **{field: given.pop(option.name) for field, option in group.options.items()}
            )
            for name, group in groups.items()
        }
        command(**given, **taken)

    run.__annotations__ = {each.name: each.annotation for each in parameters}
    run.__signature__ = Signature(parameters)  # type: ignore[attr-defined]
    return run


def _group_of(annotation: object) -> _Group | None:
    kind, *marks = get_args(annotation) if get_origin(annotation) is Annotated else (annotation,)
    if not (isinstance(kind, type) and is_dataclass(kind)):
        return None
    options = dict(signature(kind).parameters)
    for mark in marks:
        options = {
            field: _prefixed(option, mark)
            for field, option in options.items()
            if field not in mark.without
        }
    return _Group(kind, options)


def _prefixed(option: Parameter, mark: Prefixed) -> Parameter:
    value, declared = get_args(option.annotation)
    renamed: OptionInfo = copy(declared)
    flag = declared.default.removeprefix("--")  # Typer's name for the first thing in Option(...)
    renamed.default = f"--{mark.prefix}-{flag}"
    renamed.help = mark.begin_of_help + declared.help[0].lower() + declared.help[1:]
    renamed.rich_help_panel = mark.panel
    return option.replace(name=f"{mark.prefix}_{option.name}", annotation=Annotated[value, renamed])
