"""Patterns that are compiled late are patterns all the same."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from topo import later


def test_a_pattern_is_compiled_once_when_it_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    compiled: list[str] = []

    def compile_(text: str, flags: int) -> re.Pattern[str]:
        compiled.append(text)
        return re.compile(text, flags)

    monkeypatch.setattr(later, "_compile", compile_)
    word = later.pattern("(a+)b", re.IGNORECASE)
    assert compiled == []
    assert [word.fullmatch("AAB")[1], word.sub("-", "xaby"), word.groups] == ["AA", "x-y", 1]  # type: ignore[index]
    assert word.search("b") is None and word.flags & re.IGNORECASE
    assert compiled == ["(a+)b"]
    with pytest.raises(AttributeError, match="nothing"):
        word.nothing  # type: ignore[attr-defined]  # noqa: B018


def test_what_cannot_be_compiled_says_so() -> None:
    with pytest.raises(re.error, match="unterminated"):
        later.pattern("(").match("")


def test_compiling_is_put_back() -> None:
    before = re.compile
    with pytest.raises(KeyError), later.compiled_later():
        assert not isinstance(re.compile("a"), re.Pattern)
        raise KeyError
    assert re.compile is before and isinstance(re.compile("a"), re.Pattern)


def test_the_library_of_yaml_is_whole_behind_its_door() -> None:
    # In a process of its own, where nobody has imported it before. Its own reader is not what rig files are read with.
    script = (
        "from topo.rigfile.outside import yaml\n"
        "import datetime, re\n"
        "assert not isinstance(yaml.reader.Reader.NON_PRINTABLE, re.Pattern)\n"
        "said = yaml.load('{a: 1.5, b: yes, c: 2024-05-06, d: 0o7, e: 2024-05-06 07:08:09.1, f: ~}', yaml.SafeLoader)\n"
        "assert said == {'a': 1.5, 'b': True, 'c': datetime.date(2024, 5, 6), 'd': '0o7', 'f': None,\n"
        "                'e': datetime.datetime(2024, 5, 6, 7, 8, 9, 100000)}, said\n"
        "try:\n    yaml.load('a: \\x01', yaml.SafeLoader)\n"
        "except yaml.reader.ReaderError as error:\n    assert error.position == 3\n"
        "else:\n    raise SystemExit('a control character was read')\n"
        "assert yaml.safe_dump({'a': 'yes', 'b': 'word'}) == \"a: 'yes'\\nb: word\\n\"\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
