"""The command group, and the one place where errors become words on standard error and an exit status.

Commands are imported only when they run, so `topo --help` costs click and nothing more.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import sys
from typing import Any

import click

from topo.cli.progress import ProgressLine
from topo.cli.streams import prepare
from topo.errors import RigFileError, TopoError
from topo.model.plain import LONGEST, plain
from topo.words.nearest import near_names

COMMANDS: dict[str, tuple[str, str]] = {
    "check": ("topo.cli.check", "Check a rig file: loads, delays, findings."),
    "night": ("topo.cli.night", "What tonight brings, simulated many times."),
    "power": ("topo.cli.power", "Volts and amps at every plug, and the picture."),
    "draw": ("topo.cli.draw", "Draw the rig, in the terminal or to a file."),
    "live": ("topo.cli.live", "Show what is plugged in now, without touching it."),
    "compare": ("topo.cli.compare", "Hold the rig file against what is plugged in."),
    "names": ("topo.cli.names", "Which port is whose, and the name that lasts."),
    "evidence": ("topo.cli.evidence", "What last night's logs say, and what they rule out."),
    "watch": ("topo.cli.watch", "Note drops and changes through a night."),
    "place": ("topo.cli.place", "Find the best socket for a new device."),
    "rewire": ("topo.cli.rewire", "Find the fewest moves that clear the faults."),
    "planb": ("topo.cli.planb", "What stops when a part fails, and what to do then."),
    "diff": ("topo.cli.diff", "What changed between two rig files, and its effect."),
    "chase": ("topo.cli.chase", "Find the fault: the next test that tells most."),
    "pack": ("topo.cli.pack", "Make a folder to post when asking for help."),
    "report": ("topo.cli.report_page", "Write one self-contained page of the rig."),
    "profiles": ("topo.cli.profiles", "Find profiles of devices, hubs, computers."),
    "explain": ("topo.cli.explain", "Explain a finding."),
    "plugins": ("topo.cli.plugins", "Show who supplies what."),
    "schema": ("topo.cli.schema", "Print the JSON Schema of rig files."),
}
"""Every command: where it lives and its one line of help, in the order of the help."""

DEFECT = """topo has a defect: {kind}: {text}
Nothing was changed. Please report the lines above together with the command you typed."""


PROBLEM_KEYS = ("file", "line", "column", "message", "hint")


class LazyGroup(click.Group):
    """A group that imports a command when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        if cmd_name in MAKES_MUCH:
            gc.set_threshold(5 * FEW_COLLECTIONS)
        command: click.Command = importlib.import_module(COMMANDS[cmd_name][0]).command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            near = near_names(args[0], COMMANDS)
            hint = f" Did you mean '{near[0]}'?" if near else " `topo --help` lists them."
            raise click.UsageError(f"There is no command {args[0]!r}.{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(None, "--version", package_name="topo-rig", prog_name="topo")
def main() -> None:
    """Model an imaging rig's USB, serial and 12 V paths; find where guiding and imaging get in each other's way.

    Start with `topo check RIG.yaml`.
    """



FEW_COLLECTIONS = 20_000
"""Objects made between two runs of the garbage collector. A command imports and is gone: collecting at Python's usual
rate takes 7 % of a check, at this one 1 %, and never collecting takes 1 MB more."""

MAKES_MUCH = frozenset({"report", "pack"})
"""Commands that make so many objects that even so few collections take 5 % of them; five times fewer take 1 MB."""


def run(argv: list[str] | None = None) -> None:
    """Runs a command and leaves with its status: 0 fine, 1 findings, 2 file or command, 3 scan or plugin, 4 us."""
    gc.set_threshold(FEW_COLLECTIONS)
    prepare()
    status = 130
    try:
        with ProgressLine():
            status = status_of(argv)
            _nothing_to_stop()
        _remark()
    except KeyboardInterrupt:  # it came as the answer was out: that stands
        _nothing_to_stop()
    isolate = sys.modules.get("topo.plugin.isolate")
    if isolate is not None and isolate.strangers_ran():  # what they left to run at exit would write into the answer
        for stream in (sys.stdout, sys.stderr):
            with contextlib.suppress(OSError, ValueError):
                stream.flush()
        isolate.really_exit(status)
    gc.freeze()  # what is left goes with the process: looking through it once more is 5 % of a check
    sys.exit(status)


def _nothing_to_stop() -> None:
    """From here on Ctrl-C is too late: the answer is out, and the exit status is its own."""
    import signal

    with contextlib.suppress(ValueError):  # not the main thread
        signal.signal(signal.SIGINT, signal.SIG_IGN)


def status_of(argv: list[str] | None = None) -> int:
    """Runs a command and returns its exit status; errors are told on standard error."""
    asks_json = "--json" in (sys.argv[1:] if argv is None else argv)
    try:
        result: Any = main.main(args=argv, prog_name="topo", standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except click.ClickException as error:
        _show(error)
        return 2
    except (click.Abort, KeyboardInterrupt):
        _tell("stopped")
        return 130
    except RigFileError as error:
        if asks_json:
            _print_problems([{name: getattr(each, name) for name in PROBLEM_KEYS} for each in error.problems])
        for problem in error.problems:
            _tell(str(problem))
        count = len(error.problems)
        _tell(f"{count} problem{'s' if count != 1 else ''} to mend first; nothing was computed")
        return error.exit_status
    except TopoError as error:
        if asks_json:
            _print_problems([dict(zip(PROBLEM_KEYS, ("", 0, 0, plain(str(error), LONGEST), ""), strict=True))])
        for line in f"topo: {error}".split("\n"):
            _tell(line)
        return error.exit_status
    except Exception as error:
        _tell_defect(error)
        return 4
    return result if isinstance(result, int) else 0


def _print_problems(problems: list[dict[str, Any]]) -> None:
    """What is wrong, for programs: one object after `problems.schema.json`, on standard output."""
    import json

    click.echo(json.dumps({"format": "topo.problems.1", "problems": problems}, indent=2))


def _remark() -> None:
    """Tells what the person should know besides the answer, where a rig was read: what Ctrl-C cut short, and more."""
    progress = sys.modules.get("topo.progress")
    for line in progress.cut_short() if progress is not None else ():
        _tell(f"topo: {line}")
    pipeline = sys.modules.get("topo.pipeline")
    for line in pipeline.remarks() if pipeline is not None else ():
        _tell(f"topo: {line}")


def _show(error: click.ClickException) -> None:
    """The usage and what is wrong with it. What was typed is shown, but never acts on the terminal."""
    if isinstance(error, getattr(click.exceptions, "NoArgsIsHelpError", ())):  # click 8.2 and later
        error.show()
        return
    context = error.ctx if isinstance(error, click.UsageError) else None
    if context is not None:
        for line in context.get_usage().splitlines():
            _tell(line)
        _tell(f"`{context.command_path} --help` says more.")
    _tell(f"topo: {error.format_message()}")


def _tell_defect(error: Exception) -> None:
    import traceback

    for line in "".join(traceback.format_exception(error)).splitlines():
        _tell(line)
    for line in DEFECT.format(kind=type(error).__name__, text=plain(str(error), LONGEST)).splitlines():
        _tell(line)


def _tell(line: str) -> None:
    print(plain(line, LONGEST), file=sys.stderr)
