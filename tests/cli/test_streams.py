"""Any shell: pipes that close, Ctrl-C, poor encodings, closed and full streams, folders that cannot be written to."""

from __future__ import annotations

import json
import os
import shlex
import signal
import subprocess
import sys
import time
import unicodedata
from pathlib import Path

import pytest

from tests.cli.shell import CLEAN, FAULTY, ROOT, environment, topo
from tests.samples import share

TOPO = f"{shlex.quote(sys.executable)} -m topo"
GARDEN = "examples/garden-pier/rig.yaml"
posix = pytest.mark.skipif(os.name != "posix", reason="a shell of POSIX")


def shell(script: str, **environ: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(["bash", "-c", script], cwd=ROOT, capture_output=True, check=False, timeout=120,
                          env=environment(**environ))


@posix
@pytest.mark.parametrize("command", ["check {}", "check {} --json", "draw {} --json", "schema", "profiles", "explain",
                                     "--help", "planb {} --all"])
def test_a_reader_that_leaves_is_no_error(command: str) -> None:
    """The status is that of the whole answer, whether or not anyone read it to the end."""
    done = shell(f"{TOPO} {command.format(GARDEN)} | head -c 1; echo ${{PIPESTATUS[0]}}")
    assert done.stderr == b""
    assert done.stdout[1:] == b"0\n"


@posix
def test_the_reader_is_gone_before_anything_is_written(tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text(FAULTY)
    for words in (f"check {tmp_path}/rig.yaml", "profiles no-such"):
        done = shell(f"( sleep 0.2; {TOPO} {words}; echo $? >&2 ) 2> {tmp_path}/err | true; cat {tmp_path}/err")
        assert done.stdout.strip().splitlines()[-1] in (b"1", b"2")
        assert b"Traceback" not in done.stdout and b"Exception" not in done.stdout


@posix
def test_closed_streams(tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text(FAULTY)
    for closed in (">&-", "2>&-", ">&- 2>&-", "<&-"):
        done = shell(f"{TOPO} check {tmp_path}/rig.yaml {closed}; echo $?")
        assert done.stdout.splitlines()[-1] == b"1", closed
        assert done.stderr == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is full")
@pytest.mark.parametrize("command", ["check {}", "check {} --json", "schema", "plugins", "draw {}"])
def test_a_full_disk_is_told(command: str) -> None:
    done = shell(f"{TOPO} {command.format(GARDEN)} > /dev/full")
    assert done.returncode == 2
    assert done.stderr == b"topo: the answer cannot be written: no space left on device\n"


@posix
@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437", "utf-8", "utf-16"])
@pytest.mark.parametrize("command", share(["check", "draw", "planb", "rewire", "place"], 1))
def test_a_poor_encoding_loses_nothing_and_breaks_nothing(command: str, encoding: str, tmp_path: Path) -> None:
    rig = tmp_path / "望遠鏡 rig é.yaml"
    text = FAULTY.replace("Two on", "Zwei für 望遠鏡").replace("{hub:", "{主機:").replace("hub/", "主機/")
    rig.write_text(text, encoding="utf-8")
    more = {"place": ["camera-guide-1mp"], "check": ["--all"]}.get(command, [])
    done = topo(command, str(rig), *more, PYTHONIOENCODING=encoding)
    assert done.returncode in (0, 1), done.stderr
    assert done.stderr == b""
    text = done.stdout.decode(encoding)
    assert command == "rewire" or "主機" in text or "\\u4e3b\\u6a5f" in text


@posix
def test_an_old_locale(tmp_path: Path) -> None:
    rig = tmp_path / os.fsdecode(b"r\xe4g \xff.yaml")
    rig.write_text(FAULTY, encoding="utf-8")
    for locale in ("C", "POSIX"):
        done = topo("check", str(rig), LC_ALL=locale, PYTHONCOERCECLOCALE="0", PYTHONUTF8="0", PYTHONIOENCODING="")
        assert done.returncode == 1 and done.stderr == b"", done.stderr
        assert done.stdout.isascii() and b"\\udcff" in done.stdout


@posix
def test_ctrl_c_at_a_question_writes_nothing(tmp_path: Path) -> None:
    with subprocess.Popen([sys.executable, "-m", "topo", "profiles", "new", "my-camera"], cwd=ROOT,
                          stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          env=environment(TOPO_PROFILES=str(tmp_path / "own"))) as run:
        assert run.stderr is not None and run.stdout is not None
        assert b"Ctrl-C stops" in run.stderr.readline()
        time.sleep(0.2)
        run.send_signal(signal.SIGINT)
        out, err = run.communicate(timeout=60)
    assert run.returncode == 130
    assert out == b"" and b"stopped" in err and b"Traceback" not in err
    assert not (tmp_path / "own").exists()


def _on_terminal(*args: str, **environ: str) -> tuple[int, bytes]:
    """Runs topo with a terminal of 90 columns for standard output and error."""
    import fcntl
    import pty
    import struct
    import termios

    leader, follower = pty.openpty()
    fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", 30, 90, 0, 0))
    run = subprocess.Popen([sys.executable, "-m", "topo", *args], cwd=ROOT, stdin=follower, stdout=follower,
                           stderr=follower, env=environment(**environ), close_fds=True)
    os.close(follower)
    shown = b""
    while True:
        try:
            chunk = os.read(leader, 65536)
        except OSError:  # Linux: the other end is closed
            break
        if not chunk:
            break
        shown += chunk
    os.close(leader)
    return run.wait(60), shown


@pytest.mark.slow
@posix
def test_styles_only_on_a_terminal_that_wants_them() -> None:
    assert b"\x1b[" in _on_terminal("check", GARDEN, TERM="xterm")[1]
    assert b"\x1b[" not in _on_terminal("check", GARDEN, TERM="xterm", NO_COLOR="1")[1]
    assert b"\x1b[" not in _on_terminal("check", GARDEN, TERM="dumb")[1]
    assert b"\x1b[" not in topo("check", GARDEN, TERM="xterm", FORCE_COLOR="1").stdout
    for command in ("check", "draw", "planb"):
        lines = _on_terminal(command, GARDEN, TERM="xterm", NO_COLOR="1")[1].decode().splitlines()
        assert max(map(len, lines)) <= 90


@posix
def test_progress_only_on_a_terminal(tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text(FAULTY)
    for command in (["check"], ["rewire", "--moves", "2"], ["planb"], ["draw"]):
        done = topo(command[0], str(tmp_path / "rig.yaml"), *command[1:])
        assert done.stderr == b"" and b"\r" not in done.stdout


@posix
@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0 and not Path("/proc/self/ns/user").exists(),
                    reason="root writes anywhere")
def test_a_folder_that_cannot_be_written_to(tmp_path: Path) -> None:
    folder = _unwritable(tmp_path)
    for command, name in (("draw", "a.svg"), ("report", "a.html"), ("planb", "a.txt"), ("pack", "a")):
        done = topo(command, str(CLEAN), "-o", f"{folder}/{name}")
        assert done.returncode == 2, (command, done.stderr)
        assert b"Traceback" not in done.stderr and done.stderr.startswith(b"topo: ")
        assert done.stdout == b""


def _unwritable(tmp_path: Path) -> str:
    """A folder nothing can be made in, for root too: /proc, or one without the right to write."""
    if os.geteuid() == 0:
        return "/proc/self"
    tmp_path.chmod(0o500)
    return str(tmp_path)


@posix
def test_json_is_whole_or_an_error(tmp_path: Path) -> None:
    done = topo("check", GARDEN, "--json", PYTHONIOENCODING="ascii")
    assert json.loads(done.stdout)["format"] == "topo.check.1"
    assert not any(unicodedata.category(char) in ("Cc", "Cf") and char != "\n" for char in done.stdout.decode())


@posix
@pytest.mark.parametrize("answers", ["<&-", "</dev/null"])
def test_questions_with_nobody_to_answer_end_with_words(answers: str, tmp_path: Path) -> None:
    done = shell(f"{TOPO} profiles new camera-made {answers}", TOPO_PROFILES=str(tmp_path))
    told = done.stderr.decode()
    assert done.returncode in (2, 130) and "Traceback" not in told and not list(tmp_path.iterdir())
    assert "nobody to ask" in told or "stopped" in told


@pytest.mark.parametrize("command", share([
    ("explain", "frame-lost"), ("check", GARDEN), ("explain",), ("draw", GARDEN),
], 1))  # fmt: skip
def test_python_without_docstrings_and_assertions_says_the_same(command: tuple[str, ...]) -> None:
    told = [
        subprocess.run([sys.executable, *options, "-m", "topo", *command], cwd=ROOT, capture_output=True, timeout=120,
                       env=environment(), check=False) for options in ((), ("-OO",))
    ]
    assert told[0].stdout == told[1].stdout and told[0].stderr == told[1].stderr == b""
    assert told[0].returncode == told[1].returncode
