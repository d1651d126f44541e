"""A figure declared once: what it is called, its unit, how it is worked out; and it notes what it reads while it does so.

A plan is a tree of **records**. A record's figures are methods marked `figure`; reading one works it out, keeps it, and
notes it among the inputs of whatever figure is being worked out at that moment. So value, inputs and printed sum are one
claim, and the ledger is only the shadow that the records throw (`briefgen.model.shadow`).

A figure that has no value says why by raising `Absent`; whoever reads it is absent for the same reason unless it asks with
`Figure.or_none`. Named in a class, as in ``FuelSheet.margin``, a figure is an object: documents and checks name figures by it,
so a misspelt name fails in the type check and at import.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from typing import Any, ClassVar, Generic, Self, TypeVar, cast, overload

from briefgen.frozen import dataclass
from briefgen.model.ledger import Foot
from briefgen.model.reading import Absent, Declared, Kept, note, reads_of, rests_on, said, work_out

__all__ = [
    "VOLUME", "Absent", "Figure", "Placed", "Record", "Ref", "Sum", "figure", "given", "note", "reads_of", "rests_on", "said", "spare",
    "total", "working",
]  # fmt: skip

R_contra = TypeVar("R_contra", bound="Record", contravariant=True)
V_co = TypeVar("V_co", covariant=True)
R = TypeVar("R", bound="Record")
V = TypeVar("V")


VOLUME = "_volume"  # ends the key of a mass of fuel printed as a volume


@dataclass(frozen=True)
class Ref:
    """One figure of one record: what sums, tables and texts refer to."""

    record: Record
    figure: Figure[Any, Any]

    @property
    def key(self) -> str:
        """Its key in the ledger."""
        return self.figure.key_in(self.record)

    @property
    def value(self) -> Any:
        """Its value, noted as read."""
        return self.figure.read(self.record)

    @property
    def there(self) -> bool:
        """Whether it has a value; asking is not reading."""
        return self.figure.kept(self.record).absent is None

    @property
    def absent(self) -> str:
        """Why it has no value, empty where it has one; asking is not reading."""
        return self.figure.kept(self.record).absent or ""

    @property
    def label(self) -> str:
        """Its label, with the words of its record."""
        return said(self.figure.declared.label, self.record)

    @property
    def unit(self) -> str:
        """The unit it is printed in."""
        return said(self.figure.declared.unit, self.record)

    @property
    def decimals(self) -> int:
        """The decimals it is printed with."""
        declared = self.figure.declared.decimals
        return declared if isinstance(declared, int) else cast(int, getattr(self.record, declared))

    def volume(self) -> Ref:
        """The same quantity of fuel as a volume."""
        return Ref(self.record, self.figure.volume_in(self.record))

    def __str__(self) -> str:
        """Return how a text quotes it."""
        return f"{{{self.key}}}"


@dataclass(frozen=True)
class Placed:
    """A figure in the record at one place."""

    figure: Figure[Any, Any]
    at: str

    @property
    def key(self) -> str:
        """The key of the entry."""
        return f"{self.at}.{self.figure.name}"


@dataclass(frozen=True)
class Sum:
    """A total of printed figures: what stands above the line, and what is taken away."""

    plus: Sequence[Ref] = ()
    minus: Sequence[Ref] = ()

    def value(self) -> float | datetime:
        """Return the sum; of instants the time between them [s], of an instant and a time an instant."""
        plus, minus = [ref.value for ref in self.plus], [ref.value for ref in self.minus]
        if len(plus) == 1 and isinstance(plus[0], datetime):
            if not minus:
                return plus[0]
            return (plus[0] - cast(datetime, minus[0])).total_seconds()
        return math.fsum([*plus, *(-value for value in minus)])


class Figure(Generic[R_contra, V_co]):
    """One figure of a kind of record; on a record it is the value, on the class it is this object."""

    def __init__(self, function: Callable[[R_contra], V_co], declared: Declared, volume: bool | str = False) -> None:
        self.declared = declared
        self._function = function
        self.name = declared.name
        self.owner: type[Record] | None = None
        self.__doc__ = function.__doc__
        self._volume = Volume(self) if volume is True else None
        self._volume_named = volume if isinstance(volume, str) else ""

    def __set_name__(self, owner: type[Record], name: str) -> None:
        self.owner, self._attribute = owner, name
        self.name = self.name or name
        if self._volume is not None:
            self._volume.__set_name__(owner, f"{self.name}{VOLUME}")

    @overload
    def __get__(self, record: None, owner: type) -> Self: ...
    @overload
    def __get__(self, record: R_contra, owner: type) -> V_co: ...
    def __get__(self, record: R_contra | None, owner: type) -> Self | V_co:
        return self if record is None else self.read(record)

    def __set__(self, record: R_contra, value: object) -> None:
        raise AttributeError(f"the figure {self._attribute} works itself out")

    def __repr__(self) -> str:
        return f"<figure {self.owner.__name__ if self.owner else '?'}.{self.name}>"

    def volume(self) -> Figure[Any, float]:
        """The same quantity of fuel as a volume, for a figure declared with one."""
        if self._volume is None:
            raise AttributeError(f"{self!r} is not declared with a volume")
        return self._volume

    def volume_in(self, record: Record) -> Figure[Any, float]:
        """Return the figure that gives the volume in a record."""
        if self._volume_named:
            return cast(Figure[Any, float], getattr(type(record), self._volume_named))
        return self.volume()

    def twin(self) -> Figure[Any, float] | None:
        """Return the volume beside a mass of fuel, None for a figure declared without one."""
        return self._volume

    @property
    def key(self) -> str:
        """The key of the entry, for a figure of a record of which a plan has one."""
        at = getattr(self.owner, "at", "")
        if not isinstance(at, str) or not at:
            raise AttributeError(f"{self!r} stands in many records: ask for the key in one of them")
        return f"{at}.{self.name}"

    def under(self, place: str) -> Placed:
        """Return the figure in the record at one place, for a document that asks for that one alone."""
        return Placed(self, place)

    def key_in(self, record: Record) -> str:
        """Return the key of the entry in a record; a name may take an attribute of it, as labels do."""
        name = self.name % vars(record) if "%(" in self.name else self.name
        return f"{record.at}.{name}"

    def of(self, record: R_contra) -> Ref:
        """Return this figure of one record, to be summed, tabulated or quoted."""
        return Ref(record, self)

    def kept(self, record: Record) -> Kept:
        """Return what the figure came to, worked out on the first asking."""
        store = record.__dict__.setdefault("_figures", {})
        found = store.get(self.name)
        if found is None:
            found = store[self.name] = self._work_out(record)
        return cast(Kept, found)

    def _work_out(self, record: Record) -> Kept:
        return work_out(self._function, record)

    def read(self, record: Record) -> V_co:
        """Return the value and note it as read.

        Raises:
            Absent: The figure has no value; the reason is the figure's own.
        """
        found = self.kept(record)
        if found.absent is not None:
            raise Absent(found.absent)
        note(self.key_in(record))
        return cast(V_co, found.value)

    def or_none(self, record: R_contra) -> V_co | None:
        """Return the value, noted as read, or None when the figure is absent."""
        return self.read(record) if self.kept(record).absent is None else None

    def foot(self, record: Record) -> Foot | None:
        """Return the arithmetic promise of a total, None for a figure that is none."""
        found = self.kept(record).foot
        return Foot(self.key_in(record), *found) if found else None


class Total(Figure[R_contra, V_co]):
    """A figure that is the printed sum of others: value, inputs and printed sum are one claim."""

    def _work_out(self, record: Record) -> Kept:
        found = work_out(lambda r: cast(Sum, self._function(cast(Any, r))), record)
        if found.absent is not None:
            return found
        parts = cast(Sum, found.value)
        worked = work_out(lambda _: parts.value(), record)
        reads = tuple(dict.fromkeys((*worked.reads, *found.reads)))
        foot = (tuple(r.key for r in parts.plus), tuple(r.key for r in parts.minus)) if parts.plus else None
        return Kept(worked.value, reads, worked.absent, foot)


class MarginFigure(Total[R_contra, V_co]):
    """A difference that is printed never too large and keeps no sum on paper: its parts are rounded each by itself."""

    def _work_out(self, record: Record) -> Kept:
        found = super()._work_out(record)
        return Kept(found.value, found.reads, found.absent)


class Volume(Figure[Any, float]):
    """The volume of a mass of fuel: declared with the mass, so that the two cannot part."""

    def __init__(self, mass: Figure[Any, Any]) -> None:
        super().__init__(
            self._of_mass,
            Declared(mass.declared.label, "US gal", how="weight over density", rounding=mass.declared.rounding),
        )
        self._mass = mass

    def _of_mass(self, record: Record) -> float:
        return cast(float, self._mass.read(record)) / record.fuel_density()

    def _work_out(self, record: Record) -> Kept:
        found = work_out(self._function, record)
        foot = self._mass.kept(record).foot
        if foot is None:
            return found
        plus, minus = (tuple(f"{key}{VOLUME}" for key in keys) for keys in foot)
        return Kept(found.value, found.reads, found.absent, (plus, minus))


class Working(Generic[R_contra, V_co]):
    """A value that is worked out once and never printed; what it reads counts for whoever reads it."""

    def __init__(self, function: Callable[[R_contra], V_co]) -> None:
        self._function = function
        self.__doc__ = function.__doc__

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    @overload
    def __get__(self, record: None, owner: type) -> Self: ...
    @overload
    def __get__(self, record: R_contra, owner: type) -> V_co: ...
    def __get__(self, record: R_contra | None, owner: type) -> Self | V_co:
        if record is None:
            return self
        store = record.__dict__.setdefault("_workings", {})
        found = store.get(self._name)
        if found is None:
            found = store[self._name] = work_out(self._function, record)
        for key in found.reads:
            note(key)
        if found.absent is not None:
            raise Absent(found.absent)
        return cast(V_co, found.value)


def figure(
    label: str,
    unit: str = "",
    *,
    how: str,
    decimals: int | str = 0,
    source: str = "",
    volume: bool | str = False,
    name: str = "",
    rounding: str = "nearest",
) -> Callable[[Callable[[R], V]], Figure[R, V]]:
    """Declare a method of a record to be a figure: its label, printed unit and decimals, how it is worked out.

    ``volume`` declares a mass of fuel [kg] to be printed as a volume too, at the key with ``_volume`` behind it; a name is that
    of the figure that already gives the volume.
    """
    declared = Declared(label, unit, decimals, how, source, name=name, rounding=rounding)
    return lambda function: Figure(function, declared, volume)


def given(
    label: str,
    unit: str = "",
    *,
    spec: str,
    decimals: int | str = 0,
    how: str = "given",
    name: str = "",
    rounding: str = "nearest",
) -> Callable[[Callable[[R], V]], Figure[R, V]]:
    """Declare a method of a record to be a value somebody wrote at the path ``spec``."""
    declared = Declared(label, unit, decimals, how, spec=spec, name=name, rounding=rounding)
    return lambda function: Figure(function, declared)


def total(
    label: str, unit: str, *, how: str, decimals: int | str = 0, volume: bool = False, name: str = "",
    rounding: str = "nearest",
) -> Callable[[Callable[[R], Sum]], Total[R, float]]:  # fmt: skip
    """Declare a method that returns a `Sum` to be the printed total of its parts."""
    declared = Declared(label, unit, decimals, how, name=name, rounding=rounding)
    return lambda function: Total(cast(Any, function), declared, volume)


def spare(
    label: str, unit: str, *, how: str, decimals: int | str = 0, name: str = "", rounding: str = "down"
) -> Callable[[Callable[[R], Sum]], MarginFigure[R, float]]:
    """Declare a method that returns a `Sum` to be what is left to a limit: printed down, or up where it says by how much it is broken.

    That every margin and every part of it errs to the safe side at once cannot be had, so a margin promises no printed sum.
    """
    declared = Declared(label, unit, decimals, how, name=name, rounding=rounding)
    return lambda function: MarginFigure(cast(Any, function), declared)


def working(function: Callable[[R], V]) -> Working[R, V]:
    """Declare a method of a record to be an unprinted value, worked out once."""
    return Working(function)


_ENDS: set[str] = set()  # of the keys of all declared figures; ``%`` stands for what a record puts in


def is_declared(key: str) -> bool:
    """Return whether any record declares a figure whose key ends like this one; documents may ask for no other."""
    end = key.rpartition(".")[2]
    return end in _ENDS or any(
        one.partition("%")[0] and end.startswith(one.partition("%")[0]) for one in _ENDS if "%" in one
    )


class Record:
    """A group of figures at one place of the plan; ``at`` is the head of their keys."""

    at: str = ""
    _declared: ClassVar[tuple[Figure[Any, Any], ...]] = ()

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        own = [value for value in vars(cls).values() if isinstance(value, Figure)]
        inherited = [one for one in cls._declared if one.name not in {new.name for new in own}]
        cls._declared = (*inherited, *own)
        _ENDS.update(f"{one.name.rpartition('.')[2]}{end}" for one in own for end in ("", VOLUME))

    def fuel_density(self) -> float:
        """Return the density of the fuel [kg/m3] that its volumes are made with; a record with volumes says which."""
        raise NotImplementedError(f"{type(self).__name__} has volumes of fuel and no density")

    def parts(self) -> Sequence[Record]:
        """Return the records below this one, in order."""
        return ()

    def figures(self) -> Iterator[Figure[Any, Any]]:
        """Yield the figures in the order of their declaration, each mass of fuel with its volume behind it."""
        for one in self._declared:
            yield one
            if (volume := one.twin()) is not None:
                yield volume
