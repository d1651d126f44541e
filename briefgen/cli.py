"""The command line: read, plan, print or write; every error ends here as text and an exit code.

Only typer is imported at the top: reading, planning and rendering load what they need when they are asked for.
"""

from __future__ import annotations

import gc
import io
import json
import os
import sys
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from briefgen.commands import (
    approving,
    calibrating,
    comparing,
    flown,
    likely,
    many,
    previewing,
    replanning,
    trying,
    version,
)
from briefgen.commands.desk import Desk
from briefgen.errors import BriefgenError, Fault, SpecError, UsageError, visible
from briefgen.system_errors import TOLD, as_sentence

if TYPE_CHECKING:
    from briefgen.model.aircraft import Aircraft
    from briefgen.model.mission import Mission
    from briefgen.model.plan import Plan

GC_THRESHOLD = 100_000  # a run is short and makes few cycles: looking for them often costs a tenth of it

app = typer.Typer(
    name="briefgen",
    help="Turn one written mission into a checked plan, a briefing site and printed cards.\n\n"
    "A planning aid: not a substitute for the approved flight manual, current charts, notices and weather; "
    "the captain decides.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

Specs = Annotated[
    list[Path], typer.Argument(metavar="SPEC...", help="Mission files, or folders of missions.", show_default=False)
]
Spec = Annotated[
    Path, typer.Argument(metavar="SPEC", help="A mission file; one of its sectors as FILE#2.", show_default=False)
]
AsJson = Annotated[bool, typer.Option("--json", help="Print for machines.")]
Strict = Annotated[bool, typer.Option("--strict", help="Exit with 1 when a rule of the mission's set fails.")]
Approved = Annotated[
    bool, typer.Option("--approved", help="Exit with 1 unless the plan is approved as it stands; say what has changed since.")
]  # fmt: skip


@app.command()
def new(
    folder: Annotated[
        Path,
        typer.Argument(metavar="FOLDER", help="A folder that does not exist yet, or is empty.", show_default=False),
    ],
) -> None:
    """Start a folder with a complete mission to change: mission, aircraft, places, weather and rules.

    Example: briefgen new my-missions
    """
    from briefgen.starter import write_starter

    first = write_starter(folder)
    _say(f"{folder}: a mission to change, with everything it refers to")
    _say(f"next: briefgen check {first}")


@app.command()
def check(specs: Specs, strict: Strict = False, approved: Approved = False, as_json: AsJson = False) -> None:
    """Read and plan missions, and hold them against their rules; write nothing.

    Example: briefgen check mission_specs/cedar-lantern.yaml
    """
    reports, failed = [], False
    from briefgen.document import check_data

    for path, plan in _plans(_missions(specs)).items():
        report = check_data(plan)
        counts: Any = report["findings"]
        holds = plan.approval is not None and plan.approval.holds
        failed = failed or (strict and counts["fail"] > 0) or (approved and not holds)
        reports.append({"file": str(path), **report})
        if not as_json:
            from briefgen.document import approval_text, findings_text

            verdict = "it does not pass" if counts["fail"] else "it passes"
            _say(
                f"{path}: {plan.mission.name} is planned; {verdict} its rules: "
                f"{counts['pass']} pass, {counts['caution']} caution, {counts['fail']} fail"
            )
            if counts["caution"] + counts["fail"]:
                _say(findings_text(plan))
            if approved or plan.approval is not None:
                _say(approval_text(plan))
    if as_json:
        _say(json.dumps({"missions": reports}, indent=2, ensure_ascii=False))
    raise typer.Exit(1 if failed else 0)


@app.command()
def build(
    specs: Specs,
    out: Annotated[Path, typer.Option("--out", help="Folder of the site; replaced whole or not at all.")] = Path(
        "site"
    ),
    pdf: Annotated[bool, typer.Option("--pdf/--no-pdf", help="Also print the cards to PDF.")] = True,
    sensitivities: Annotated[
        bool, typer.Option("--sensitivities", help="Also find what eats the margins first: some seconds a mission.")
    ] = False,
    fresh: Annotated[bool, typer.Option("--fresh", help="Build anew even what has not changed.")] = False,
    processes: many.Processes = 0,
    cluster: many.Cluster = None,
) -> None:
    """Write the briefing site and the cards of one or more missions; what has not changed stays.

    Of several missions one that fails leaves the others standing: the index names it, and the exit code is 1.

    Example: briefgen build mission_specs --out site
    """
    built_at = _build_time()
    from briefgen.document import build_site, ready, still_fresh
    from briefgen.spec import require_whole

    paths = _missions(specs)
    require_whole(paths, "built")
    ready(out, paths)
    if len(paths) > 1 and not sensitivities:
        many.build(Desk(_missions, _plans, _now, _say), paths, out, many.How(pdf, built_at, fresh, processes, cluster))
        return
    anew = fresh or sensitivities or any(map(_record_of, paths))
    count = 0 if anew else still_fresh(out, paths, pdf=pdf, built_at=built_at)
    if count:
        _say(f"{out}: nothing has changed, {count} files stay as they are; open {out / 'index.html'}")
        return
    from briefgen.bench.vary import with_variations

    plans = tuple(with_variations(path, plan) for path, plan in _plans(paths).items())
    if sensitivities:
        plans = tuple(_searched(plan) for plan in plans)
    _progress("rendering")
    written = build_site(plans, out, pdf=pdf, built_at=built_at, inputs=paths)
    count = len(plans)
    _say(f"{out}: {count} mission{'s' if count != 1 else ''}, {len(written)} files; open {out / 'index.html'}")


@app.command()
def show(spec: Spec, as_json: AsJson = False) -> None:
    """Print the plan of one mission.

    Example: briefgen show mission_specs/cedar-lantern.yaml
    """
    (plan,) = _plans([spec]).values()
    from briefgen.document import plan_json, terminal_text

    _say(plan_json(plan) if as_json else terminal_text(plan), nl=False)


@app.command()
def explain(
    spec: Spec,
    key: Annotated[
        str,
        typer.Argument(metavar="[KEY]", help="An entry of the plan, such as fuel.required.trip.", show_default=False),
    ] = "",
    listed: Annotated[
        bool, typer.Option("--list", help="List the keys that hold the text given in place of a key; all without one.")
    ] = False,
) -> None:
    """Print how one number came about, down to the lines of the files it rests on.

    Example: briefgen explain mission_specs/cedar-lantern.yaml fuel.margin
    """
    if not key and not listed:
        raise typer.BadParameter("name an entry, or ask for their list with --list", param_hint="KEY")
    (plan,) = _plans([spec]).values()
    from briefgen.document import explain_text, keys_text

    _say(keys_text(plan, key) if listed else explain_text(plan, key), nl=False)


@app.command()
def aircraft(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="An aircraft file.", show_default=False)],
    fuel: Annotated[
        str | None, typer.Option("--fuel", help="One fuel grade; without it all grades of the file.")
    ] = None,
    speeds: Annotated[str, typer.Option("--speeds", help="Show indicated speeds in mph or kt.")] = "mph",
    charts: Annotated[
        Path | None,
        typer.Option("--charts", help="Also print the model as an aircraft file of charts, into this folder."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="Also draw it as a page, into this folder; replaced whole.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Print what an aircraft file gives: limits, speeds, power, cruise, climb, ceilings and field lengths.

    Example: briefgen aircraft mission_specs/aircraft/s2-survey.yaml --speeds kt
    """
    if speeds not in ("mph", "kt"):
        raise typer.BadParameter(f"'{speeds}' is not a unit of speed; write mph or kt", param_hint="--speeds")
    from briefgen.aircraft.sheet.tables import fuel_grades_of, sheet_of
    from briefgen.document import aircraft_page, sheets_json, sheets_text
    from briefgen.spec import read_aircraft

    described = read_aircraft(file)
    grades = fuel_grades_of(described) if fuel is None else (fuel,)
    sheets = [sheet_of(described, grade, speeds) for grade in grades]
    _say(sheets_json(sheets) if as_json else sheets_text(sheets), nl=False)
    written = [] if out is None else aircraft_page(sheets, out, [file])
    for grade in grades if charts is not None else ():
        written += _written_charts(file, described, grade, charts or Path())
    for path in written:
        _say(path, to_error=as_json)


def _written_charts(file: Path, described: Aircraft, grade: str, folder: Path) -> list[Path]:
    """Write the model of an aircraft as a file of charts and its tables; return the files written."""
    from briefgen.aircraft.sheet.charts import aircraft_as_charts, usual_lines
    from briefgen.disk import write_new
    from briefgen.spec.write_aircraft import aircraft_file_texts

    book = aircraft_as_charts(described, grade, usual_lines(described))
    texts = aircraft_file_texts(file.read_text(encoding="utf-8"), f"{file.stem}-{grade}-charts".replace("/", "-"), book)
    return write_new({folder / name: text for name, text in texts.items()})


@app.command()
def schema(
    kind: Annotated[
        str,
        typer.Argument(
            metavar="KIND", help="mission, aircraft, places, weather, rules, approval, log or plan.", show_default=False
        ),
    ],
    outline: Annotated[bool, typer.Option("--outline", help="Every key with an example, to write from.")] = False,
) -> None:
    """Print the JSON Schema of one kind of file, or an outline of its keys.

    Example: briefgen schema mission
    """
    from briefgen.spec import outline_text, schema_text

    _say(outline_text(kind) if outline else schema_text(kind), nl=False)


def _missions(specs: list[Path]) -> list[Path]:
    """Return the mission files named, and those in the folders named, in order and once each however they are named."""
    from briefgen.spec import missions_in

    found: dict[Path, Path] = {}
    for spec in specs:
        paths = missions_in(spec) if spec.is_dir() else (spec,)
        if not paths:
            raise UsageError(
                "there is no mission in this folder",
                where=str(spec),
                expected="files named *.yaml with 'briefgen: mission/1' as the first line",
                hint="name the folder that holds the missions; 'briefgen new FOLDER' starts one",
            )
        for path in paths:
            found.setdefault(Path(os.path.realpath(path)), path)
    return list(found.values())


def _plans(paths: list[Path]) -> dict[Path, Plan]:
    """Read every mission first, so that all faults of a run are told together; then plan them."""
    from briefgen.spec import read_sectors

    missions: dict[Path, tuple[Mission, ...]] = {}
    faults: list[Fault] = []
    for path in paths:
        try:
            missions[path] = read_sectors(path)
        except SpecError as error:
            faults += error.faults
    if faults:
        raise SpecError(tuple(faults))
    from briefgen.document import require_conservation
    from briefgen.planning.journey import plan_sectors

    plans = {}
    for path, sectors in missions.items():
        _progress(f"planning {sectors[0].name}")
        try:
            plans[path] = _with_approval(plan_sectors(sectors), path)
            require_conservation(plans[path])
        except BriefgenError as error:
            raise error.at(str(path)) from error
    return plans


def _searched(plan: Plan) -> Plan:
    """Return a plan with what eats its margins first."""
    from briefgen.planning.search.sensitivities import with_sensitivities

    _progress(f"pushing {plan.mission.name}")
    if plan.sectors:
        return replace(plan, sectors=tuple(map(with_sensitivities, plan.sectors)))
    return with_sensitivities(plan)


def _with_approval(plan: Plan, path: Path) -> Plan:
    """Return a plan with the approval that stands beside its mission file, if one does."""
    if not _record_of(path):
        return plan
    from briefgen.approval.hold import held
    from briefgen.approval.keep import tool

    return held(plan, path, _now().date(), tool())


def _record_of(path: Path) -> bool:
    """Return whether an approval stands beside a mission file; whether it holds is a matter of the day."""
    from briefgen.model.approval import RECORD

    return "#" not in path.suffix and path.with_name(path.stem + RECORD).is_file()  # a sector has none of its own


def _now() -> datetime:
    return _build_time() or datetime.now(UTC)


def _progress(doing: str) -> None:
    if sys.stderr.isatty():
        _say(f"{doing} ...", to_error=True)


def _build_time() -> datetime | None:
    """Return the build time that SOURCE_DATE_EPOCH gives, if it is set; otherwise a page carries none."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if epoch is None:
        return None
    try:
        if not epoch.isascii() or not epoch.isdigit():
            raise ValueError(epoch)
        return datetime.fromtimestamp(int(epoch), tz=UTC)
    except (ValueError, OverflowError, OSError) as error:
        wanted = "whole seconds since 1970, such as 1767225600"
        raise UsageError(f"SOURCE_DATE_EPOCH is '{epoch}'", expected=wanted) from error


def _say(text: object, *, nl: bool = True, to_error: bool = False) -> None:
    """Print a text; what would steer the terminal is written out as its code."""
    typer.echo(visible(str(text)), nl=nl, err=to_error)


for _verb in (approving, comparing, flown, replanning, calibrating, likely, trying, previewing, version):
    _verb.register(app, Desk(_missions, _plans, _now, _say))


def main() -> NoReturn:
    """Run the command line; what briefgen raises on purpose and what the system refuses is printed as a sentence.

    Anything else is a bug and shows itself.
    """
    gc.set_threshold(GC_THRESHOLD)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # a terminal without a letter still shows which one it was
    try:
        app(prog_name="briefgen")
    except BriefgenError as error:
        _leave(error)
    except TOLD as error:
        _leave(as_sentence(error))
    sys.exit(0)


def _leave(error: BriefgenError) -> NoReturn:
    with suppress(OSError):  # where nobody can be told, the exit code still says it
        typer.echo(error.text(), err=True)
    _drop_what_is_unsaid()
    sys.exit(error.exit_code)


def _drop_what_is_unsaid() -> None:
    """Let go of output that cannot be written, which the interpreter would try again at its end and report in its own words."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
