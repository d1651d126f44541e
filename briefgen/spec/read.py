"""The public door of the spec room: one mission file, and everything it refers to, to a Mission."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path, PurePosixPath

from briefgen.errors import Fault, SpecError
from briefgen.model.aircraft import Aircraft
from briefgen.model.bench import Change, Variation
from briefgen.model.ledger import Given
from briefgen.model.mission import Mission
from briefgen.model.places import Place
from briefgen.model.rules import RuleSet
from briefgen.spec.build.aircraft import build_aircraft
from briefgen.spec.build.margins import with_margins
from briefgen.spec.build.mission import Parts, build_mission
from briefgen.spec.build.places import build_places
from briefgen.spec.build.points import build_points
from briefgen.spec.build.rules import build_rules
from briefgen.spec.build.sectors import as_sectors, build_landings, cut, given_of_landing, landings_of
from briefgen.spec.build.terrain import build_terrain, terrain_faults
from briefgen.spec.build.variations import build_variations
from briefgen.spec.build.weather import build_weather
from briefgen.spec.choose import chosen, named_sector, one_sector
from briefgen.spec.folder import missions_in
from briefgen.spec.given import given_values
from briefgen.spec.meaning.aircraft import aircraft_faults
from briefgen.spec.meaning.landings import landing_faults
from briefgen.spec.meaning.mission import mission_faults
from briefgen.spec.meaning.places import places_faults
from briefgen.spec.tree.check import Checked
from briefgen.spec.tree.files import SharedFiles, SpecFiles
from briefgen.spec.tree.load import Document, KeyPath
from briefgen.spec.tree.reader import Reader
from briefgen.spec.tree.survey import Survey


def read_mission(
    path: Path, *, root: Path | None = None, changes: Iterable[Change] = (), shared: SharedFiles | None = None
) -> Mission:
    """Return the mission a file gives, with everything it refers to, some of its values changed where that is asked.

    Of a mission of several sectors one is named behind the file: ``ferry.yaml#2``, or by the field where it ends, ``ferry.yaml#LX02``.

    Raises:
        SpecError: All faults of all files together, in the order of file and line.
        UsageError: A change names a path that is not there, or its value cannot be read; one sector is wanted and none is named.
    """
    return one_sector(path, read_sectors(path, root=root, changes=changes, shared=shared))


def read_sectors(
    path: Path, *, root: Path | None = None, changes: Iterable[Change] = (), shared: SharedFiles | None = None
) -> tuple[Mission, ...]:
    """Return the sectors of the mission a file gives, one where it lands once; the one alone that is named behind the file.

    Raises:
        As `read_mission`, but for the last.
    """
    file, wanted = named_sector(path)
    root, name = _located(file, root)
    sectors = _read(SpecFiles(root, changes=tuple(changes), shared=shared), name)
    return sectors if wanted is None else (chosen(file, sectors, wanted),)


def files_of_mission(path: Path) -> dict[str, str]:
    """Return the names of all files a mission in a specification folder is read from, each with its kind.

    A table of figures has no kind: it is empty.

    Raises:
        SpecError: The mission has faults.
    """
    root, name = _located(named_sector(path)[0], None)
    files = SpecFiles(root)
    _read(files, name)
    kinds = {name: str(_head(document)).partition("/")[0] for name, document in files.documents.items()}
    return kinds | dict.fromkeys(files.tables, "")


def _head(document: Document) -> object:
    return document.data.get("briefgen") if isinstance(document.data, dict) else None


def _read(files: SpecFiles, name: str) -> tuple[Mission, ...]:
    whole = files.open(name, "mission")
    if whole is None:
        raise _error(files)
    document = whole.document
    aircraft = files.refer(document, ("aircraft", "file"), "aircraft")
    weather = files.refer(document, ("weather", "file"), "weather")
    place_files = _place_files(files, document)
    files.faults.extend(places_faults(place_files))
    if aircraft is not None:
        files.faults.extend(aircraft_faults(aircraft, files))
    sectors = _cut(files, whole, aircraft)
    for number, sector in enumerate(sectors):
        files.faults.extend(mission_faults(sector, aircraft, place_files, goes_on=number > 0))
    grid = files.refer_table(document, ("terrain", "file")) if "terrain" in _keys(document) else None
    survey = Survey(whole)
    terrain_faults(survey, grid)
    files.faults.extend(survey.faults)
    rules = _rules(files, document)
    places = _places(place_files)
    built_weather = build_weather(weather, places) if weather is not None and places else None
    if files.all_faults() or aircraft is None or built_weather is None or rules is None:
        raise _error(files)
    files.require_changes_made()
    places |= {point.ident: point for point in build_points(Reader(whole))}
    described = _aircraft(aircraft, files)
    parts = Parts(
        aircraft=described,
        places=places,
        weather=with_margins(built_weather, Reader(whole, ("weather",))),
        rules=rules,
        given={},
        digest=files.digest(),
        files=files.sources(),
        variations=_variations(files, Reader(whole), described),
        terrain=build_terrain(Reader(whole, ("terrain",)), grid) if grid is not None else None,
    )
    written = [given_values(files, sector.document, place_files) for sector in sectors]
    return _built(whole, sectors, parts, written)


def _built(
    whole: Checked, sectors: Sequence[Checked], parts: Parts, written: Sequence[dict[str, Given]]
) -> tuple[Mission, ...]:
    """Return the missions of all sectors; what is written of the landing before one is given with it."""
    built = [
        build_mission(Reader(sector), replace(parts, given=given | given_of_landing(whole.document, number)))
        for number, (sector, given) in enumerate(zip(sectors, written, strict=True))
    ]
    return as_sectors(built, build_landings(Reader(whole), parts.places, built))


def _cut(files: SpecFiles, whole: Checked, aircraft: Checked | None) -> tuple[Checked, ...]:
    """Return the sectors of a mission file; where its landings have faults none, and those are told."""
    if not landings_of(whole.document.data):
        return (whole,)
    if not whole.faults:
        survey = Survey(whole)
        landing_faults(survey, aircraft)
        files.faults.extend(survey.faults)
        if not survey.faults:
            return cut(whole)
    return ()


def _variations(files: SpecFiles, mission: Reader, aircraft: Aircraft) -> tuple[Variation, ...]:
    """Return the variations of a mission; of one that is itself varied none: 'lower grade' has no meaning on the lowest."""
    variations, faults = build_variations(mission, aircraft) if not files.changes else ((), [])
    files.faults.extend(faults)
    if faults:
        raise _error(files)
    return variations


def read_aircraft(path: Path, *, root: Path | None = None) -> Aircraft:
    """Return the aircraft a file gives; raise SpecError with all its faults."""
    root, name = _located(path, root or _folder_of(path))
    files = SpecFiles(root)
    aircraft = files.open(name, "aircraft")
    if aircraft is not None:
        files.faults.extend(aircraft_faults(aircraft, files))
    if aircraft is None or files.all_faults():
        raise _error(files)
    return _aircraft(aircraft, files)


def _folder_of(path: Path) -> Path:
    """Return the specification folder of a shared file: the nearest folder above it that holds a mission, or its own."""
    return next((folder for folder in (path.parent, path.parent.parent) if missions_in(folder)), path.parent)


def _located(path: Path, root: Path | None) -> tuple[Path, str]:
    """Return the specification folder and the name of a file within it."""
    if root is None:
        root = path.parent
    try:
        return root, Path(os.path.realpath(path)).relative_to(os.path.realpath(root)).as_posix()
    except ValueError as error:
        fault = Fault(str(path), 0, 0, "the file lies outside the specification folder", f"a file below {root}")
        raise SpecError((fault,)) from error


def _error(files: SpecFiles) -> SpecError:
    """Return all faults, their files named as the caller can open them."""
    return SpecError(tuple(replace(fault, file=str(files.root / fault.file)) for fault in files.all_faults()))


def _keys(document: Document) -> list[str]:
    return list(document.data) if isinstance(document.data, dict) else []


def _place_files(files: SpecFiles, document: Document) -> list[Checked]:
    names = document.data.get("places") if isinstance(document.data, dict) else None
    count = len(names) if isinstance(names, list) else 0
    found = [files.refer(document, ("places", index), "places") for index in range(count)]
    return list({one.document.file: one for one in found if one is not None}.values())


def _places(files: list[Checked]) -> dict[str, Place]:
    """Return the places of all files by identifier; none while any file has faults."""
    if any(one.faults for one in files):
        return {}
    return {place.ident: place for one in files for place in build_places(Reader(one))}


def _rules(files: SpecFiles, document: Document) -> RuleSet | None:
    """Return the rule set the mission names, merged with the sets it extends."""

    def refer(other: Document, path: KeyPath) -> Checked | None:
        return files.refer(other, path, "rules")

    first = refer(document, ("rules",))
    return build_rules(first, refer) if first is not None else None


def _aircraft(checked: Checked, files: SpecFiles) -> Aircraft:
    return build_aircraft(Reader(checked), lambda name: files.tables[str(PurePosixPath(name))])
