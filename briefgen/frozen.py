"""The decorator of our frozen data classes: theirs in the type checker and in what they do, cheaper to define.

The standard one writes out and compiles six methods for each class. Three hundred classes of six methods were a fifth of
a whole ``check``; here comparing, hashing, printing and refusing are shared, and ``__init__`` is written when the first
instance is made.
"""

from __future__ import annotations

import dataclasses
from dataclasses import FrozenInstanceError
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
    from dataclasses import replace as replace
else:

    def replace(instance: Any, /, **changes: Any) -> Any:
        """Return a copy of a frozen instance with some fields changed: that of the standard library, in a third of the time."""
        cls = type(instance)
        if getattr(cls, "_made_with", None) is None:  # not ours, or it works out more when it is made
            return dataclasses.replace(instance, **changes)
        for name in changes:
            if name not in cls._made_with:
                raise TypeError(f"{cls.__name__} has no field {name}")
        kept, copy = vars(instance), object.__new__(cls)
        copy.__dict__.update([(name, kept[name]) for name in cls._made_with], **changes)
        return copy

    def dataclass(*, frozen: bool):
        """Return the decorator of a frozen data class: no slots, no order, every field an argument by position or name."""
        if not frozen:
            raise TypeError("a data class that is not frozen is made with the standard decorator")
        return _defined


def _defined(cls: type[Any]) -> type[Any]:
    dataclasses.dataclass(init=False, repr=False, eq=False)(cls)
    cls._compared_names = tuple(field.name for field in dataclasses.fields(cls) if field.compare)
    plain = all(field.init for field in dataclasses.fields(cls)) and not hasattr(cls, "__post_init__")
    cls._made_with = tuple(field.name for field in dataclasses.fields(cls)) if plain else None
    shared = {"__init__": _first_init, "__eq__": _equal, "__hash__": _hash, "__repr__": _text}
    for name, method in (shared | {"__setattr__": _refuse, "__delattr__": _refuse}).items():
        if name not in vars(cls):
            setattr(cls, name, method)
    return cls


def _first_init(self: Any, *values: Any, **named: Any) -> None:
    """Write ``__init__`` of the class that has none yet, and call it."""
    owner = next(cls for cls in type(self).__mro__ if vars(cls).get("__init__") is not None)
    written = _written_init(owner)
    setattr(owner, "__init__", written)  # noqa: B010  by name: the type checker takes it for that of an instance
    written(self, *values, **named)


def _written_init(cls: type[Any]) -> Any:
    """Return an ``__init__`` with the parameters that the standard decorator gives it; all fields are put at one stroke."""
    # a name that no field has: one called like a field would be that field inside
    known: dict[str, Any] = {"__not_given__": dataclasses.MISSING}
    parameters, put = [], []
    for field in dataclasses.fields(cls):
        name = field.name
        if not field.init:
            continue
        if field.default_factory is not dataclasses.MISSING:
            known[f"_{name}"] = field.default_factory
            parameters.append(f"{name}=__not_given__")
            put.append(f"{name}=_{name}() if {name} is __not_given__ else {name}")
            continue
        if field.default is not dataclasses.MISSING:
            known[f"_{name}"] = field.default
        parameters.append(name if f"_{name}" not in known else f"{name}=_{name}")
        put.append(f"{name}={name}")
    body = [f" self.__dict__.update({', '.join(put)})"]
    if hasattr(cls, "__post_init__"):
        body.append(" self.__post_init__()")
    exec(f"def __init__(self, {', '.join(parameters)}):\n" + "\n".join(body), known)
    return known["__init__"]


def _compared(value: Any) -> tuple[Any, ...]:
    return tuple([getattr(value, name) for name in type(value)._compared_names])


_COMPARED = "_names_compared"  # kept by the class once it has been asked


def _equal(self: Any, other: object) -> bool:
    if self is other:
        return True
    return _compared(self) == _compared(other) if other.__class__ is self.__class__ else NotImplemented


def _hash(self: Any) -> int:
    return hash(_compared(self))


def _text(self: Any) -> str:
    shown = (f"{field.name}={getattr(self, field.name)!r}" for field in dataclasses.fields(self) if field.repr)
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _refuse(self: Any, name: str, *_: object) -> NoReturn:
    raise FrozenInstanceError(f"{type(self).__name__} is frozen: {name} stays as it was made")
