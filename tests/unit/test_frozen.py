"""Our decorator of frozen data classes does what the standard one does: every behaviour is compared with its own."""

from __future__ import annotations

import dataclasses
import pickle
from collections.abc import Callable
from typing import Any

import pytest

from briefgen.frozen import dataclass as ours


def _made(decorated: Callable[[type[Any]], type[Any]]) -> tuple[type[Any], type[Any]]:
    """Return a class and one derived from it, with every kind of field that the package uses."""

    @decorated
    class Base:
        a: float
        b: int = 2
        c: dict[str, int] = dataclasses.field(default_factory=dict)
        _made: float = dataclasses.field(init=False, repr=False, compare=False)

        def __post_init__(self) -> None:
            object.__setattr__(self, "_made", self.a + self.b)

    @decorated
    class Derived(Base):
        d: str = ""

    return Base, Derived


STANDARD, OURS = _made(dataclasses.dataclass(frozen=True)), _made(ours(frozen=True))
CALLS: list[tuple[tuple[object, ...], dict[str, object]]] = [
    ((1.0,), {}),
    ((1.0, 3), {"c": {"x": 1}}),
    ((), {"a": 4.0, "b": 5}),
    ((), {}),
    ((1.0, 2, {}, "", 9), {}),
    ((1.0,), {"nothing": 1}),
]


@pytest.mark.parametrize(("values", "named"), CALLS)
@pytest.mark.parametrize("which", [0, 1])
def test_an_instance_is_made_or_refused_alike(which: int, values: tuple[object, ...], named: dict[str, object]) -> None:
    """The same values give the same fields, text and derived field, or a TypeError in both."""

    def outcome(cls: type[Any]) -> object:
        try:
            made = cls(*values, **named)
        except TypeError:
            return "refused"
        return vars(made), repr(made)

    assert outcome(OURS[which]) == outcome(STANDARD[which])


def test_two_instances_are_equal_and_hash_alike_where_their_compared_fields_do() -> None:
    """A field outside the comparison does not count; another class is never equal."""
    one, same, other = (OURS[0](value, c=()) for value in (1.0, 1.0, 2.0))
    object.__setattr__(same, "_made", -1.0)

    assert one == same
    assert hash(one) == hash(same)
    assert one != other
    assert one != OURS[1](1.0, c=())
    assert hash(one) == hash(STANDARD[0](1.0, c=()))


def test_a_field_is_neither_set_nor_deleted_afterwards() -> None:
    """An instance stays as it was made, and a changed copy is made by `dataclasses.replace`."""
    one = OURS[1](1.0, d="x")
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.a = 2.0
    with pytest.raises(dataclasses.FrozenInstanceError):
        del one.d

    assert dataclasses.replace(one, a=5.0) == OURS[1](5.0, d="x")
    assert [field.name for field in dataclasses.fields(one)] == [f.name for f in dataclasses.fields(STANDARD[1])]
    assert OURS[1].__match_args__ == STANDARD[1].__match_args__


@ours(frozen=True)
class Kept:
    """At module level, where pickle finds it."""

    value: int


def test_an_instance_goes_to_another_process_and_back() -> None:
    """Pickling keeps it, also before any other instance was made."""
    assert pickle.loads(pickle.dumps(Kept(3))) == Kept(3)


def test_a_class_that_is_not_frozen_is_refused() -> None:
    """For such a class there is the standard decorator."""
    with pytest.raises(TypeError, match="standard decorator"):
        ours(frozen=False)


def test_a_field_of_any_name_keeps_what_it_is_given() -> None:
    """A field may be called like anything the making of the class uses: it once swallowed why a figure is absent."""

    @ours(frozen=True)
    class Told:
        put: dict[str, str] = dataclasses.field(default_factory=dict)
        absent: dict[str, str] = dataclasses.field(default_factory=dict)

    told = Told({"a": "b"}, {"c": "d"})

    assert (told.put, told.absent) == ({"a": "b"}, {"c": "d"})
    assert Told().absent == {}
