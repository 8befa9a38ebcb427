"""What is refused before anything is understood: files that are none, limits, YAML beyond plain text, hostile names."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
import yaml

from tests.rigfile.test_read import HEAD, problems_of
from topo.errors import RigFileError
from topo.rigfile.problems import Problems
from topo.rigfile.quote import key_text
from topo.rigfile.read import read, read_text
from topo.rigfile.source import MOST_FILE_BYTES
from topo.rigfile.syntax import parsed


def refusal(path: Path | str) -> str:
    with pytest.raises(RigFileError) as caught:
        read(path)
    assert len(caught.value.problems) == 1
    problem = caught.value.problems[0]
    return problem.message + (f" ({problem.hint})" if problem.hint else "")


def test_a_missing_file_with_a_near_one(tmp_path: Path) -> None:
    (tmp_path / "garden.yaml").write_text(HEAD)
    assert refusal(tmp_path / "gardn.yaml") == "there is no such file (nearest name: garden.yaml)"
    assert refusal(tmp_path / "no" / "x.yaml") == "there is no such file (its folder does not exist either)"


def test_a_folder_a_device_and_odd_names(tmp_path: Path) -> None:
    assert refusal(tmp_path) == "this is a folder, not a file (name a file in it)"
    assert refusal("/dev/zero") == "this is a device, not a file"
    assert refusal("a\0b") == "no file can have this name"
    assert refusal("x" * 5000) == "no file can have a name this long"


def test_no_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(HEAD)
    if os.geteuid() == 0:  # root may read everything: the answer of the system is played

        def refuse(*_: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(Path, "open", refuse)
    else:
        path.chmod(0)
    assert refusal(path) == "you have no permission to read this file"


def test_a_large_file_is_not_even_read(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    with path.open("wb") as file:
        file.truncate(50 * 2**30)  # sparse: reading it would take minutes and the memory of the machine
    start = time.perf_counter()
    assert refusal(path) == "the file is larger than 1048576 bytes (1 MiB), the most that is read"
    assert time.perf_counter() - start < 5


def test_the_limit_itself() -> None:
    text = HEAD + "# " + "x" * (MOST_FILE_BYTES - len(HEAD) - 2)
    assert len(text) == MOST_FILE_BYTES
    read_text(text, "x")
    assert problems_of(text + "x")[0][2].startswith("the file is larger than")
    assert problems_of("é" * (MOST_FILE_BYTES // 2 + 1))[0][2].startswith("the file is larger than")


def test_encodings() -> None:
    assert problems_of(HEAD.encode() + b"# caf\xe9\n") == [
        (3, 6, "the file is not UTF-8: byte 0xe9 at offset 28", "save it again as UTF-8")
    ]
    assert problems_of(HEAD.encode("utf-16"))[0][2] == "the file is UTF-16, and it must be UTF-8"
    assert problems_of(b"\x7fELF\0\0")[0][2] == "this is not a text file"


@pytest.mark.parametrize("text", ["", "\n\n", "# nothing\n", "---\n", "~\n"])
def test_empty(text: str) -> None:
    assert problems_of(text) == [(0, 0, "the file is empty", "a rig file needs at least `rig:` and `computer:`")]


@pytest.mark.parametrize(("text", "what"), [("- a\n", "a list"), ("hello\n", "one piece of text"), ("[]", "a list")])
def test_a_top_that_is_no_mapping(text: str, what: str) -> None:
    message = f"the file holds {what}, and keys with values belong there"
    assert problems_of(text) == [(1, 1, message, "a rig file needs at least `rig:` and `computer:`")]


def test_no_keys_at_all() -> None:
    assert problems_of("{}")[0][:3] == (1, 1, "there are no keys")


def test_duplicate_keys_also_in_other_quotes() -> None:
    text = HEAD + 'devices:\n  cam: {role: imaging, "role": mount}\n  cam: {}\n'
    assert problems_of(text) == [
        (4, 24, "'role' stands here twice, first on line 4", "keep one of the two"),
        (5, 3, "'cam' stands here twice, first on line 4", "keep one of the two"),
    ]


def test_anchors_aliases_and_tags() -> None:
    text = HEAD + "devices:\n  a: &it {role: mount}\n  b: *it\n  c: !!map {}\n  d: {<<: *it}\n"
    assert [(line, column, message) for line, column, message, _ in problems_of(text)] == [
        (4, 6, "'&it' names an anchor, which is not used here"),
        (5, 6, "'*it' refers back to an anchor, which is not used here"),
        (6, 6, "a word that starts with '!' is a YAML tag, which is not used here"),
        (7, 11, "'*it' refers back to an anchor, which is not used here"),
    ]


def test_second_document_and_directive() -> None:
    assert problems_of(HEAD + "---\nrig: B\n") == [
        (3, 1, "a second document begins here, and a file holds one", "delete the line '---'")
    ]
    assert problems_of("%YAML 1.2\n---\n" + HEAD)[0][2] == "a line that starts with '%' has no meaning here"


def test_keys_that_are_no_words() -> None:
    assert problems_of(HEAD + "? [a]\n: b\n")[0] == (3, 3, "a key must be one word, not a list or a mapping", "")
    assert problems_of(HEAD + ": b\n")[0][:3] == (3, 1, "a key is missing before ':'")


@pytest.mark.parametrize("opening", ["[", "{", "- ", "? ", "a: {", "[{"])
def test_ten_thousand_levels_cost_little(opening: str) -> None:
    start = time.perf_counter()
    found = problems_of(opening * 10_000)
    assert time.perf_counter() - start < 5
    assert any("levels inside each other" in message for _, _, message, _ in found)


def test_thirty_two_levels_are_read_and_one_more_is_not() -> None:
    for loader in (yaml.CSafeLoader, yaml.SafeLoader):
        problems = Problems("x")
        parsed("[" * 32 + "]" * 32, problems, loader)
        assert not len(problems)
        with pytest.raises(RigFileError, match="x:1:33: more than 32 levels inside each other"):
            parsed("[" * 33 + "]" * 33, Problems("x"), loader)


def test_a_bomb_of_aliases_costs_little() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    start = time.perf_counter()
    assert any("anchor" in message for _, _, message, _ in problems_of("\n".join(lines)))
    assert time.perf_counter() - start < 5


def test_two_thousand_parts_are_read_and_one_more_is_not() -> None:
    text = HEAD + "devices:\n" + "".join(f"  d{n}:\n" for n in range(2000))
    assert len(read_text(text, "x").document.devices) == 2000
    assert problems_of(text + "  more: {}\n") == [(2004, 3, "more than 2000 parts, counted up to here", "")]


NAMES = [
    ('"a\\e[31m"', "the name 'a\\x1b[31m' holds the character \\x1b", "use letters, digits and '-'"),
    ('"a\\u202eb"', "the name 'a\\u202eb' holds the character \\u202e (right-to-left override)",
     "use letters, digits and '-'"),
    ('"a\\nb"', "the name 'a\\x0ab' holds the character \\x0a", "use letters, digits and '-'"),
    ("a/b", "the name 'a/b' holds a '/', which parts a part from its socket", "for instance a-b"),
    ("' a'", "the name ' a' begins or ends with a space", "delete the space"),
    ("x" * 65, "the name 'xxxxxxxxxxxxxxxxxxxxxxxxxxxxx…' has 65 characters, and 64 is the most", ""),
    ("computer", "a device cannot be called 'computer': that is the computer's own name", "give it another name"),
    ('""', "a key is missing before ':'", ""),
]  # fmt: skip


@pytest.mark.parametrize(("name", "message", "hint"), NAMES, ids=[row[1] for row in NAMES])
def test_names_of_parts(name: str, message: str, hint: str) -> None:
    assert problems_of(f"{HEAD}devices:\n  {name}: {{}}\n") == [(4, 3, message, hint)]


def test_names_with_any_printable_character_are_fine() -> None:
    for name in ("x" * 64, "Kamera Ü 🔭", "a\\b", "<b>&", "1", "'quoted'"):
        text = f"{HEAD}devices:\n  {key_text(name)}: {{role: mount}}\n"
        assert list(read_text(text, "x").document.devices) == [name]


def test_hostile_text_in_values_and_paths_is_escaped() -> None:
    text = HEAD + 'devices:\n  a: {plug: "x\\e[2J/1", role: "\\u202emount", note: "a\\u009bb"}\n'
    with pytest.raises(RigFileError) as caught:
        read_text(text, "evil\x1b[31m.yaml")
    assert all(char.isprintable() or char == "\n" for char in str(caught.value))
    assert "evil\\x1b[31m.yaml:4:13: " in str(caught.value)


def test_raw_control_characters_in_the_file() -> None:
    assert problems_of(HEAD + "note: a\x1bb\n") == [
        (3, 8, "the invisible character \\x1b has no place here", "delete it")
    ]
    assert problems_of("rig: a\u2028b")[0][2] == "the invisible character \\u2028 has no place here"
    assert problems_of("rig: \ud800")[0][2] == "the invisible character \\ud800 has no place here"
