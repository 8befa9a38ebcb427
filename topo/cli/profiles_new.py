"""`topo profiles new`: the questions, and what becomes of the answers. What is asked for comes from the schema."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import click

from topo.errors import CommandError, RigFileError
from topo.frozen import replace
from topo.model.cautions import SHORT
from topo.model.plain import plain
from topo.model.rig import ROLES, Role
from topo.plugin.draft import Draft, Stated, checked_name, judged, text_of, write
from topo.plugin.questions import Question, all_questions, questions
from topo.words.nearest import near_names


def write_new(
    name: str | None, kind: Any, role: str | None, summary: str | None, source: str | None, sets: tuple[str, ...],
    sockets: tuple[str, ...], from_scan: str | None, device: str | None, no_questions: bool, force: bool, as_json: bool,
) -> None:
    """Carries out `topo profiles new`. Raises CommandError and RigFileError; nothing is written then."""
    from topo.plugin.folder import profile_folder

    start = _scanned(from_scan, device)
    draft = Draft(
        name=name or "", kind=kind or start.kind, role=_role(role) or start.role, summary=summary or start.summary,
        source=source or start.source, facts=start.facts, ports=_pairs(sockets, "--socket"),
    )
    draft = _with(draft, {key: Stated(value) for key, value in _pairs(sets, "--set").items()})
    draft = replace(draft, name=checked_name(name)) if name else draft
    if no_questions:
        if not draft.name:
            raise CommandError("a profile needs a name: `topo profiles new NAME`")
    else:
        draft = _ask_all(draft, asked_kind=kind is None and from_scan is None, asked_role=role is None)
    folder = profile_folder()
    path = write(draft, folder, force)
    _tell(draft, path, as_json)


def _tell(draft: Draft, path: Path, as_json: bool) -> None:
    from topo.cli.look_ups import show_json
    from topo.plugin.load import load

    before = load(("topo_profiles",)).shelf.beneath(draft.name)
    if as_json:
        show_json({"format": "topo.profiles-new.1", "name": draft.name, "file": str(path), "text": text_of(draft),
                   "goes_before": before})
        return
    click.echo(plain(str(path), 4000))
    if before:
        click.echo(f"it goes before the profile of that name from {before}", err=True)
    click.echo(f"write `profile: {draft.name}` in a rig file to use it", err=True)
    if any(key.startswith(("volts", "amps")) for key in draft.facts):
        click.echo(SHORT, err=True)


def _scanned(file: str | None, device: str | None) -> Draft:
    if file is None and device is None:
        return Draft("")
    if file is None or device is None:
        raise CommandError("--from-scan FILE and --device ID go together")
    from topo.plugin.draft_scan import draft_of

    return draft_of(file, device)


def _role(word: str | None) -> Role | None:
    if word is None or word in ROLES:
        return word
    raise CommandError(f"'{plain(word)}' is no role; there are {', '.join(ROLES)}")


def _pairs(texts: tuple[str, ...], option: str) -> dict[str, str]:
    pairs = {}
    for text in texts:
        key, equals, value = text.partition("=")
        if not equals or not key.strip() or not value.strip():
            raise CommandError(f"{option} takes NAME=VALUE, not '{plain(text)}'")
        pairs[key.strip()] = value.strip()
    return pairs


def _with(draft: Draft, stated: Mapping[str, Stated]) -> Draft:
    """The draft with facts laid over it, each in the section it belongs to. Raises CommandError for unknown keys."""
    known = all_questions(draft.kind)
    facts, serial = dict(draft.facts), dict(draft.serial)
    for key, value in stated.items():
        if key not in known:
            near = near_names(key, known)
            hint = f"nearest name: {near[0]}" if near else f"there are {', '.join(known)}"
            raise CommandError(f"a {draft.kind} has no figure '{plain(key)}' ({hint})")
        (facts if known[key].section == "facts" else serial)[key] = value
    return replace(draft, facts=facts, serial=serial)


def _ask_all(draft: Draft, asked_kind: bool, asked_role: bool) -> Draft:
    click.echo("An empty answer leaves a figure out. Nothing is written before the end; Ctrl-C stops.", err=True)
    if not draft.name:
        draft = replace(draft, name=_ask("name, lower-case words joined by hyphens", checked_name, needed=True))
    if asked_kind:
        kinds = ("device", "hub", "computer")
        draft = replace(draft, kind=_ask(f"kind ({', '.join(kinds)})", _one_of(*kinds)) or draft.kind)
    if draft.kind == "device" and asked_role:
        draft = replace(draft, role=_role(_ask(f"role ({', '.join(ROLES)})", _one_of(*ROLES)) or draft.role))
    if not draft.summary:
        draft = replace(draft, summary=_ask("what it is, in one line", str))
    if not draft.source:
        draft = replace(draft, source=_ask("where the figures come from (data sheet, measured, …)", str, needed=True))
    for question in questions(draft.kind, draft.role or "other"):
        if question.key not in draft.facts and question.key not in draft.serial:
            draft = _ask_fact(draft, question)
    if draft.kind == "computer" and not draft.ports:
        words = _ask("its USB sockets, such as usb3-1 usb3-2 usb2-1", str).replace(",", " ").split()
        draft = replace(draft, ports={word: "super" if word.startswith("usb3") else "high" for word in words})
    return draft


def _ask_fact(draft: Draft, question: Question) -> Draft:
    """Asks for one fact until the schema takes it, or nothing is answered."""
    def judge(text: str) -> str:
        alone = replace(draft, facts={}, serial={}, ports={})
        try:
            judged(_with(alone, {question.key: Stated(text)}), f"{draft.name}.yaml")
        except RigFileError as error:
            told = (f"{p.message} ({p.hint})" if p.hint else p.message for p in error.problems)
            raise CommandError("; ".join(told)) from None
        return text

    answer = _ask(str(question), judge)
    return _with(draft, {question.key: Stated(answer)}) if answer else draft


def _one_of(*words: str) -> Callable[[str], str]:
    def judge(text: str) -> str:
        if text not in words:
            raise CommandError(f"it is one of {', '.join(words)}")
        return text

    return judge


def _ask(words: str, judge: Callable[[str], str], needed: bool = False) -> Any:
    """One answer, on standard error, asked again until `judge` takes it; empty unless it is needed."""
    while True:
        if sys.stdin is None or sys.stdin.closed:
            raise CommandError("there is nobody to ask: standard input is closed; say all by options, --no-questions")
        answer = str(click.prompt(words, default="", show_default=False, err=True)).strip()
        if not answer and not needed:
            return ""
        try:
            if answer:
                return judge(answer)
            click.echo("this one is needed", err=True)
        except CommandError as error:
            click.echo(str(error), err=True)
