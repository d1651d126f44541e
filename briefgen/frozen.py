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
else:

    def dataclass(*, frozen: bool):
        """Return the decorator of a frozen data class: no slots, no order, every field an argument by position or name."""
        if not frozen:
            raise TypeError("a data class that is not frozen is made with the standard decorator")
        return _defined


def _defined(cls: type[Any]) -> type[Any]:
    dataclasses.dataclass(init=False, repr=False, eq=False)(cls)
    cls._compared_names = tuple(field.name for field in dataclasses.fields(cls) if field.compare)
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
    """Return an ``__init__`` as the standard decorator writes it."""
    known: dict[str, Any] = {"put": object.__setattr__}
    parameters, body = [], []
    for field in dataclasses.fields(cls):
        name = field.name
        if not field.init:
            continue
        if field.default_factory is not dataclasses.MISSING:
            known[f"_{name}"], known["absent"] = field.default_factory, dataclasses.MISSING
            parameters.append(f"{name}=absent")
            body.append(f" put(self, {name!r}, _{name}() if {name} is absent else {name})")
            continue
        if field.default is not dataclasses.MISSING:
            known[f"_{name}"] = field.default
        parameters.append(name if f"_{name}" not in known else f"{name}=_{name}")
        body.append(f" put(self, {name!r}, {name})")
    if hasattr(cls, "__post_init__"):
        body.append(" self.__post_init__()")
    exec(f"def __init__(self, {', '.join(parameters)}):\n" + "\n".join(body or [" pass"]), known)
    return known["__init__"]


def _compared(value: Any) -> tuple[Any, ...]:
    return tuple([getattr(value, name) for name in type(value)._compared_names])


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
