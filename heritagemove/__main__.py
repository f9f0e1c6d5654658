"""The command line: begin a museum, check its tables, compare the paths of a unit, write what is handed over."""

from __future__ import annotations

import argparse
import contextlib
import datetime as dt
import gc
import os
import shlex
import sys
from collections.abc import Sequence
from importlib import metadata
from pathlib import Path

from heritagemove.answers.starter_values import counts_in_words
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.dry_run import explained, tried_museum
from heritagemove.compare.results import Comparison
from heritagemove.editing.starting_point import answered_first, ask_first
from heritagemove.files.arguments import OnceParser, settings_of
from heritagemove.files.outputs import refuse_places
from heritagemove.files.saving import NotSaved, fault_in_words, shortened
from heritagemove.museum.drivers import read_settings
from heritagemove.museum.memo import Memo
from heritagemove.museum.museum import Museum, input_files, load_museum, reference_folder
from heritagemove.museum.rows import MUSEUM_TABLES, REFERENCE_TABLES
from heritagemove.museum.slips import slips
from heritagemove.trials import estimating, simulation

#: Exit status when tables or arguments are wrong; nothing has been written then.
WRONG_INPUT = 2
#: Exit status when Ctrl-C stopped the work, as shells have it.
STOPPED = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line.

    Returns
    -------
    int
        0; 2 with a message on the error stream when tables or arguments are wrong; 130 when Ctrl-C stopped it.
    """
    options = _parser().parse_args(arguments)
    try:
        options.run(options)
        sys.stdout.flush()
    except KeyboardInterrupt:
        print("Stopped. A file that was being written is as it was before.", file=sys.stderr)
        return STOPPED
    except BrokenPipeError:
        # The reader of a pipe has seen enough; Python must not complain again at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (NotSaved, ValueError) as error:
        print(error, file=sys.stderr)
        return WRONG_INPUT
    except OSError as error:
        print(_of_system(error), file=sys.stderr)
        return WRONG_INPUT
    return 0


def _of_system(error: OSError) -> str:
    """Return in one sentence what the system says of a file, or of the place that output is sent to."""
    if error.filename is None:
        # What is still waiting to be printed must not fail once more at exit.
        with contextlib.suppress(OSError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return f"The output could not be written: {fault_in_words(error)}."
    name = shortened(os.path.basename(str(error.filename)) or str(error.filename))
    return f'found "{name}": {fault_in_words(error)}; allowed: a file or folder that can be read'


def _parser() -> argparse.ArgumentParser:
    parser = OnceParser(prog="python -m heritagemove", description=__doc__)
    parser.add_argument("--version", action="version", version="heritagemove " + metadata.version("heritagemove"))
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    new = commands.add_parser("new", help="write a museum to begin with: one unit, the paths it has, prices to replace")
    new.add_argument("folder", help="a new folder, or a workbook whose name ends in .xlsx")
    ask_first(new)
    new.add_argument("--from", dest="other", metavar="MUSEUM", help="a colleague's museum or price list to begin with")
    new.add_argument("--keep", default="prices", help="what of it: prices, rules, or prices,rules; default: prices")
    new.set_defaults(run=_new)

    for name, help_ in (
        ("lab", "lay out the notebooks and the demo in a folder of yours and open JupyterLab on the start page"),
        ("present", "lay them out and open the committee's presentation, without code"),
    ):
        served = commands.add_parser(name, help=help_)
        served.add_argument("--folder", default=_HOME, help=f"where you work; default: {_HOME}, in your home folder")
        served.add_argument("--port", type=int, default=8888, help="default: 8888")
        served.add_argument("--no-browser", action="store_true", help="print the address and open nothing")
        served.set_defaults(run=_serve, page=name)

    check = commands.add_parser("check", help="read every table and list every problem")
    check.add_argument("folder", help=_FOLDER)
    how = check.add_mutually_exclusive_group()
    how.add_argument("--as-read", action="store_true", help="then show every value as typed beside as read")
    how.add_argument("--watch", action="store_true", help="check again at each save; stop with Ctrl-C")
    check.set_defaults(run=_check)

    rename_ = commands.add_parser("rename", help="give anything another id in all tables, or convert all money")
    rename_.add_argument("folder", help=_FOLDER)
    rename_.add_argument("what", help="vehicle, leg, path, place, task, rate ...; a wrong one lists them all; or currency")
    rename_.add_argument("old", help="its id; of one path only: path/task")
    rename_.add_argument("new", help="the id it is to have")
    rename_.add_argument("--at", type=float, default=1.0, help="currency: how many of the new one the old buys; default: 1")
    rename_.add_argument("--who", default="planner", help="role that does so; default: planner")
    rename_.set_defaults(run=_rename)

    totals = commands.add_parser("summary", help="every total in one form, to compare two spellings or two versions")
    totals.add_argument("folder", help=_FOLDER)
    totals.set_defaults(run=_summary)

    convert = commands.add_parser("convert", help="write a folder of tables as a workbook, or a workbook as a folder")
    convert.add_argument("folder", help=_FOLDER)
    convert.add_argument("to", help="a new folder, or a workbook whose name ends in .xlsx")
    convert.add_argument("--replace", action="store_true", help="replace what is there; the last version is kept beside it")
    convert.set_defaults(run=_convert)

    merge_ = commands.add_parser("merge", help="join two people's copies of a museum, row by row")
    merge_.add_argument("base", help="the museum that both were copied from")
    merge_.add_argument("mine", help="one copy; where both changed a cell its value is taken and the other is listed")
    merge_.add_argument("theirs", help="the other copy")
    merge_.add_argument("--out", required=True, help="a new folder, or a workbook whose name ends in .xlsx")
    merge_.set_defaults(run=_merge)

    prices = commands.add_parser("prices", help="merge what finished moves were billed into one price list with dates")
    prices.add_argument("folder", nargs="+", help="museums whose moves have begun: folders or workbooks")
    prices.add_argument("--out", required=True, help="file to write, laid out as rates.csv; for new --from")
    prices.add_argument("--replace", action="store_true", help="replace the file if it exists")
    prices.set_defaults(run=_prices)

    compare_ = commands.add_parser("compare", help="every figure of the comparison of one unit's paths")
    _shared(compare_)
    compare_.add_argument("--format", choices=("table", "csv", "json"), default="table", help="default: table")
    compare_.set_defaults(run=_compare)

    page = commands.add_parser("report", help="write the read-only page of one unit, of several, or of the whole site")
    _shared(page, several=True)
    page.add_argument("--out", required=True, help="file to write, such as page.html; of several units a folder")
    page.add_argument("--annex", choices=("short", "full"), default="short", help="full: every limit, input and path")
    page.add_argument("--scenarios", metavar="FOLDER", help="set the saved scenarios of a folder beside the answer")
    page.add_argument("--json", metavar="FILE", help="also write every figure of the page as JSON")
    page.add_argument("--pdf", metavar="FILE", help="also print the page, through a Chromium where one is found")
    page.add_argument("--replace", action="store_true", help="replace the file if it exists")
    page.set_defaults(run=_report)

    for name, ending, run, help_ in (
        ("workbook", ".xlsx", _workbook, "write the money of one unit, or of the whole site, with its sums as formulas"),
        ("calendar", ".ics", _calendar, "write the meeting, the schedule and their alarms as an iCalendar file"),
        ("request", ".html", _sheets, "write a request for quotation to a hauler, crane firm, railroad or shop"),
        ("day", ".html", _sheets, "write the sheet of the day of the move: roles, stop rules, papers, spare day"),
    ):
        hand_over = commands.add_parser(name, help=help_)
        _shared(hand_over, whole=name == "workbook")
        if name == "request":
            trades = ("hauler", "crane_firm", "railroad", "shop")
            hand_over.add_argument("--of", required=True, choices=trades, help="who is asked")
        if name in ("request", "day"):
            hand_over.add_argument("--path", help="id of the path; by default the choice")
        hand_over.add_argument("--out", required=True, help=f"file to write; its name ends in {ending}")
        hand_over.add_argument("--replace", action="store_true", help="replace the file if it exists")
        hand_over.set_defaults(run=run, ending=ending)
    return parser


_HOME = "~/heritagemove"
_FOLDER = "folder with museum.toml and the tables, or a workbook (.xlsx) with one sheet per table"


def _shared(parser: argparse.ArgumentParser, several: bool = False, whole: bool = False) -> None:
    parser.add_argument("folder", help=_FOLDER)
    if whole:
        parser.add_argument("--vehicle", help="id of a unit; the whole site when left out")
    elif several:
        parser.add_argument("--vehicle", action="append", help="id of a unit; may be repeated; every unit when left out")
    else:
        parser.add_argument("--vehicle", required=True, help="id of the unit")
    example = "set a driver, such as axles=6, crane_hours=20 or haul_distance='120 mile'; may be repeated"
    parser.add_argument("--set", action="append", default=[], metavar="NAME=AMOUNT", help=example)
    parser.add_argument("--seed", type=int, help="seed of the draws; by default museum.toml's")
    parser.add_argument("--no-estimating-error", action="store_true", help="leave out what estimates turn out to be off by")
    parser.add_argument("--trials", type=int, help="number of trials, 100 to 1,000,000; by default museum.toml's")


def _new(options: argparse.Namespace) -> None:
    from heritagemove.editing.keeping import kept_from
    from heritagemove.editing.starter import starter_museum, write_begun

    point = answered_first(options)
    begun, keep = starter_museum(point), {word.strip() for word in options.keep.split(",")}
    place = write_begun(kept_from(begun, options.other, keep) if options.other else begun, options.folder, point)
    begin = f"Begin with {place / 'README.md'}, then" if place.is_dir() else "Every value in it is invented. Next"
    print(f"Wrote {place}. {begin}: python -m heritagemove check --watch {shlex.quote(str(place))}")


def _prices(options: argparse.Namespace) -> None:
    from heritagemove.following.close_out import write_price_list

    inputs = [file for folder in options.folder for file in input_files(folder)]
    refuse_places({"out": options.out}, inputs, options.replace, {"out": ".csv"})
    _say_written(write_price_list(options.out, [load_museum(folder) for folder in options.folder]))


def _serve(options: argparse.Namespace) -> None:
    from heritagemove.editing.laying_out import lab_command, lay_out, present_command, serve

    done, command = lay_out(options.folder), {"lab": lab_command, "present": present_command}[options.page]
    words = command(done.folder, options.port, not options.no_browser)
    print(*done.lines(), "The address is printed below. Stop with Ctrl-C.", sep="\n", flush=True)
    serve(words)


def _check(options: argparse.Namespace) -> None:
    if options.watch:
        _watch(options.folder)
        return
    museum = tried_museum(options.folder)
    print(_clean(options.folder, museum))
    for line in filter(None, [*(f"Look at: {slip}" for slip in slips(museum)), counts_in_words(museum)]):
        print(f"  {line}")
    if options.as_read:
        from heritagemove.editing.values_as_read import reading_lines, readings
        from heritagemove.editing.writing import typed

        for line in reading_lines(readings(museum, typed(options.folder))):
            print(line)


def _clean(folder: str, museum: Museum) -> str:
    tables = [file.removesuffix(".csv") for file in (MUSEUM_TABLES | REFERENCE_TABLES)]
    count = sum(len(getattr(museum, table)) for table in tables)
    return f"{folder}: {len(tables)} tables with {count:,} rows read; no problems found."


def _watch(folder: str) -> None:
    from heritagemove.editing.watching import checks

    try:
        for changed, problems in checks(folder, tried_museum):
            when = f"{dt.datetime.now():%H:%M:%S} {', '.join(changed)} saved. " if changed else ""
            print(when + (problems or "No problems found."), flush=True)
    except KeyboardInterrupt:  # the way to end watching
        print()


def _rename(options: argparse.Namespace) -> None:
    from heritagemove.compare.dry_run import stopped_by
    from heritagemove.editing import converting, renaming

    folder, what, old, new, who = options.folder, options.what, options.old, options.new, options.who
    if what == "currency":
        files = converting.convert_money(folder, old, new, options.at, who, tried=stopped_by)
    else:
        files = renaming.rename(folder, what, old, new, who, tried=stopped_by)
    print(f"{what} {old} is now {new} in {', '.join(files)}; one line of changes.csv says so.")


def _summary(options: argparse.Namespace) -> None:
    from heritagemove.editing.values_as_read import summary

    for line in summary(load_museum(options.folder)):
        print(line)


def _convert(options: argparse.Namespace) -> None:
    from heritagemove.editing.writing import refuse_place, typed, write_museum

    place = Path(options.to)
    refuse_place(place, options.replace, ", or replace it (--replace)")
    inputs = input_files(options.folder)
    if place.suffix.lower() == ".xlsx":
        refuse_places({"to": place}, inputs, replace=True)
    elif any(os.path.realpath(file).startswith(os.path.realpath(place) + os.sep) for file in inputs):
        raise ValueError(f'to: found "{place}", where the museum is read from; allowed: another folder or workbook')
    print(f"Wrote {write_museum(typed(options.folder), place, replace=options.replace)}.")


def _merge(options: argparse.Namespace) -> None:
    from heritagemove.editing.merging import merge
    from heritagemove.editing.writing import refuse_place, typed, write_museum

    refuse_place(Path(options.out))
    merged = merge(*(typed(side) for side in (options.base, options.mine, options.theirs)))
    more = {"conflicts": merged.conflict_lines()} if merged.conflicts else {}
    print(f"Wrote {write_museum(merged.museum, options.out, more=more)}.")
    if merged.conflicts:
        print(f"Both changed what follows; mine is taken, and both stand in the table conflicts ({len(merged.conflicts)}):")
        print(*(f"  {conflict}" for conflict in merged.conflicts), sep="\n")
    # Two copies that are each in order may not be so together: one takes out what the other has begun to use.
    tried_museum(options.out, reference_folder(Path(options.mine)))


def _compared(options: argparse.Namespace, loaded: Museum | None = None) -> list[Comparison]:
    museum: Museum = loaded or load_museum(options.folder)
    museum = estimating.switched(museum, False) if options.no_estimating_error else museum
    if options.seed is not None and not 0 <= options.seed < 2**32:
        raise ValueError(f"--seed: found {options.seed}; allowed: a whole number from 0 to {2**32 - 1}")
    if options.trials is not None and not 100 <= options.trials <= 1_000_000:
        raise ValueError(f"--trials: found {options.trials:,}; allowed: a whole number from 100 to 1,000,000")
    vehicles, settings = _vehicles(options, museum), settings_of(options.set)
    read_settings(settings)
    compared, vehicle, memo = [], vehicles[0], Memo()
    try:
        samples = simulation.draw(museum, options.seed, options.trials)
        for vehicle in vehicles:
            compared.append(compare_paths(museum, vehicle, settings, samples, memo))
    except Exception as error:  # `check` would have told: the cell is named here as well, or the setting
        raise explained(museum, vehicle, settings, error) from error
    return compared


def _vehicles(options: argparse.Namespace, museum: Museum) -> list[str]:
    """Return the units that are asked for, each once; every unit where none is named."""
    named = [options.vehicle] if isinstance(options.vehicle, str) else options.vehicle
    vehicles = list(dict.fromkeys(named or [row.vehicle for row in museum.vehicles]))
    for vehicle in vehicles:
        museum.vehicle(vehicle)
    return vehicles


def _compare(options: argparse.Namespace) -> None:
    from heritagemove.hand_over.figures import FORMATS

    print(FORMATS[options.format](_compared(options)[0]), end="")


def _report(options: argparse.Namespace) -> None:
    from heritagemove.compare.scenario_files import saved_answers
    from heritagemove.hand_over.page import refuse_outputs, site_of, write_files

    gc.set_threshold(100_000, 50, 50)  # a report keeps what it makes: looking for what is lost costs a tenth of it
    museum = load_museum(options.folder)
    wanted = {name: file for name in ("out", "json", "pdf") if (file := getattr(options, name))}
    read = Path(options.scenarios).glob("*.json") if options.scenarios else ()
    refuse_outputs(options.folder, wanted, options.replace, read, _vehicles(options, museum))
    if options.scenarios and not os.path.isdir(options.scenarios):
        raise ValueError(f'scenarios: found "{options.scenarios}"; allowed: a folder with saved scenarios')
    comparisons = _compared(options, museum)
    progress = None
    if sys.stderr.isatty():
        progress = lambda drawn: print(f"\r\x1b[KDrawing {drawn}", end="", file=sys.stderr, flush=True)  # noqa: E731
    kept: dict[str, Comparison] = {}
    for each in comparisons if options.scenarios else ():
        kept |= saved_answers(options.scenarios, each.base, each.vehicle, each.samples)
    site = site_of(comparisons, progress)
    written = write_files(comparisons, wanted, options.replace, progress, kept, site, options.annex == "full")
    if progress:
        print("\r\x1b[K", end="", file=sys.stderr)
    for file in written:
        _say_written(file)


def _handing_over(options: argparse.Namespace) -> list[Comparison]:
    """Return the units compared, once it is known that the file may be written."""
    refuse_places({"out": options.out}, input_files(options.folder), options.replace, {"out": options.ending})
    return _compared(options)


def _workbook(options: argparse.Namespace) -> None:
    from heritagemove.hand_over.page.site import site_of
    from heritagemove.hand_over.workbook import write_site_workbook, write_workbook

    compared = _handing_over(options)
    if options.vehicle:
        _say_written(write_workbook(compared[0], options.out, options.replace))
        return
    site = site_of(compared)
    if site is None:
        raise ValueError("--vehicle: found none, and no set of several units as the tables have it; allowed: id of a unit")
    _say_written(write_site_workbook(site, options.out, options.replace))


def _calendar(options: argparse.Namespace) -> None:
    from heritagemove.hand_over.calendar_file import write_calendar

    _say_written(write_calendar(_handing_over(options)[0], options.out, options.replace))


def _sheets(options: argparse.Namespace) -> None:
    from heritagemove.hand_over.hand_outs import day_sheet, request_sheet, write_hand_out

    (comparison,) = _handing_over(options)
    sheet = request_sheet(comparison, options.of, options.path) if "of" in options else day_sheet(comparison, options.path)
    _say_written(write_hand_out(comparison, sheet, options.out, options.replace))


def _say_written(file: Path) -> None:
    print(f"Wrote {file} ({file.stat().st_size / 1024:,.0f} KiB).")


if __name__ == "__main__":
    sys.exit(main())
