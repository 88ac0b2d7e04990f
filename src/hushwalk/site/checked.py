"""Settings that are checked at birth: made in Python they keep the same limits as in a file, in the same words.

The limits stand at the fields; the words for a fault are setting_faults.py's.
"""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from functools import cache, wraps
from inspect import signature
from typing import Any, Protocol, TypeVar, cast, get_type_hints, runtime_checkable

from hushwalk.errors import SettingsError

STRICT: dict[str, Any] = {"extra": "forbid", "strict": True, "allow_inf_nan": False}
"""How settings are checked: no unknown keys, no guessing of types, no infinities."""

Noun = TypeVar("Noun")


@runtime_checkable
class Faulty(Protocol):
    """Settings that know what their keys say together."""

    def faults(self) -> Sequence[tuple[str, str]]:
        """Give each key that is at fault, with what is wrong."""


def checked(noun: type[Noun]) -> type[Noun]:
    """Have a frozen dataclass of settings checked whenever it is made in Python.

    A list stands for a tuple, as in a file. Readers of files check the same limits themselves, since they know lines.

    Raises
    ------
    SettingsError
        When one is made with a value that a file would be refused for; every fault is listed.
    """
    made, takes = noun.__init__, signature(noun.__init__)

    @wraps(made)
    def checked_init(self: Noun, *args: Any, **kwargs: Any) -> None:  # noqa: ANN401 - whatever the fields take
        given = dict(takes.bind(self, *args, **kwargs).arguments)
        own = {name: value for name, value in given.items() if name != "self"}
        made(self, **(_checked_values(noun, own) if own else {}))
        if isinstance(self, Faulty) and (found := self.faults()):
            raise SettingsError(f"{noun.__name__}: {found[0][1]}")

    noun.__init__ = cast("Any", checked_init)  # type: ignore[method-assign]
    return noun


def replaced_unchecked(settings: Noun, **changes: object) -> Noun:
    """Give settings with some values replaced, for a caller that checks them itself and knows their lines."""
    made = object.__new__(type(settings))
    for item in fields(cast("Any", settings)):
        object.__setattr__(made, item.name, changes.get(item.name, getattr(settings, item.name)))
    return made


def _checked_values(noun: type, given: Mapping[str, Any]) -> dict[str, Any]:
    """Give what was given as the fields hold it, or say what is wrong."""
    from pydantic import ValidationError  # noqa: PLC0415 - not before something is given

    from hushwalk.site.setting_faults import fault_words  # noqa: PLC0415 - likewise

    try:
        read = _reader(noun)(**{name: _as_tuples(value) for name, value in given.items()})
    except ValidationError as fault:
        raise SettingsError(fault_words(fault, noun, noun.__name__)) from None
    return {name: getattr(read, name) for name in given}


@cache
def _reader(noun: Any) -> Any:  # noqa: ANN401 - any class of settings
    """Give a model with the limits of the fields, each of which may be left out."""
    from pydantic import create_model  # noqa: PLC0415 - not before something is given

    hints = get_type_hints(noun, include_extras=True)
    own: dict[str, Any] = {item.name: (hints[item.name], None) for item in fields(noun)}
    model: Any = create_model  # it takes any mapping of limits
    return model(noun.__name__, __config__=STRICT | {"protected_namespaces": ()}, **own)


def _as_tuples(value: object) -> object:
    if isinstance(value, list | tuple):
        return tuple(_as_tuples(item) for item in value)
    return {key: _as_tuples(item) for key, item in value.items()} if isinstance(value, dict) else value
