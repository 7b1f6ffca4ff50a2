"""Whatever a command raises, the user gets a plain message and the right exit code."""

from __future__ import annotations

import errno
import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.casebook.errors import NameTakenError
from advisor.cli.errors import guarded, known_refusals, state_folder
from advisor.knowledge import KnowledgeError
from advisor.units import UnitError


def raising(fault: BaseException) -> Callable[[], int]:
    def command() -> int:
        raise fault

    return command


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path))
    return tmp_path


@pytest.mark.parametrize("code", [0, 1, 2])
def test_what_the_command_says_is_the_exit_code(code: int) -> None:
    assert guarded(lambda: code) == code


@pytest.mark.parametrize(
    "refusal", [NameTakenError(name="byre"), UnitError("unknown unit 'x'"), KnowledgeError([])]
)
def test_a_known_refusal_is_one_message(refusal: Exception, capsys: pytest.CaptureFixture[str]) -> None:
    assert isinstance(refusal, known_refusals())
    assert guarded(raising(refusal)) == 1
    assert capsys.readouterr().err == f"byrewise: {refusal}\n"


def test_further_refusals_can_be_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert guarded(raising(KeyError("farm")), lambda: (KeyError,)) == 1
    assert capsys.readouterr().err == "byrewise: 'farm'\n"


@pytest.mark.parametrize(
    "fault", [ValueError("odd \udc80"), RecursionError(), AssertionError(), MemoryError()]
)
def test_a_fault_of_the_program_is_logged_and_the_place_named(
    fault: Exception, home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert guarded(raising(fault)) == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    found = re.search(r"written in (.+)\n", err)
    assert found
    path = Path(found[1])
    assert path.is_relative_to(home / "state" / "errors")
    log = path.read_text()
    assert "Traceback" in log
    assert type(fault).__name__ in log


def test_two_faults_in_one_second_are_both_kept(home: Path) -> None:
    guarded(raising(ValueError("first")))
    guarded(raising(ValueError("second")))
    logs = " ".join(path.read_text() for path in (home / "state" / "errors").iterdir())
    assert "first" in logs
    assert "second" in logs


def test_where_the_state_folder_cannot_be_written_the_log_goes_elsewhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("in the way")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path / "file"))
    monkeypatch.setattr("tempfile.tempdir", str(elsewhere))
    assert guarded(raising(ValueError("x"))) == 3
    (log,) = elsewhere.iterdir()
    assert str(log) in capsys.readouterr().err
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "file" / "none"))
    assert guarded(raising(ValueError("seen here"))) == 3
    assert "seen here" in capsys.readouterr().err


def test_ctrl_c_ends_with_130_and_no_traceback(capsys: pytest.CaptureFixture[str]) -> None:
    assert guarded(raising(KeyboardInterrupt())) == 130
    assert capsys.readouterr().err.strip() == ""


def test_wrong_usage_passes_through() -> None:
    with pytest.raises(SystemExit) as ended:
        guarded(raising(SystemExit(2)))
    assert ended.value.code == 2


def test_a_full_disk_is_no_fault_of_the_program(capsys: pytest.CaptureFixture[str]) -> None:
    assert guarded(raising(OSError(errno.ENOSPC, "No space left on device"))) == 1
    assert "the disk is full" in capsys.readouterr().err


def test_the_state_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert state_folder() == tmp_path / "state"
    monkeypatch.delenv("BYREWISE_HOME")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "xdg"))
    if sys.platform == "linux":
        assert state_folder() == tmp_path / "xdg" / "byrewise"
    assert "byrewise" in state_folder().parts


def program(body: str) -> list[str]:
    text = f"import sys, time\nfrom advisor.cli.errors import guarded\ndef run():\n    {body}\n    return 0\n"
    return [sys.executable, "-c", text + "sys.exit(guarded(run))"]


def test_a_pipe_whose_reader_has_gone_is_quiet() -> None:
    body = "[print('x' * 70) for _ in range(20_000)]"
    with subprocess.Popen(program(body), stdout=subprocess.PIPE, stderr=subprocess.PIPE) as writer:
        assert writer.stdout is not None
        assert writer.stderr is not None
        writer.stdout.readline()
        writer.stdout.close()
        assert writer.stderr.read() == b""
    assert writer.returncode == 0


def test_a_pipe_that_breaks_at_the_last_flush_is_quiet() -> None:
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(program("print('x')"), stdout=writer, stderr=subprocess.PIPE, check=False)
    os.close(writer)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.parametrize("amount", [1, 100_000])
def test_output_to_a_full_disk_is_told(amount: int) -> None:
    with Path("/dev/full").open("wb") as full:
        command = program(f"print('x' * {amount})")
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 1
    assert done.stderr == b"byrewise: the output cannot be written: the disk is full.\n"


def test_a_letter_the_screen_has_not_is_no_fault() -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    command = program("print('h\\u00f6he')")
    done = subprocess.run(command, env=environment, capture_output=True, check=False)
    assert (done.returncode, done.stdout) == (0, b"h?he\n")


@pytest.mark.parametrize("closed", ["stdout", "stderr"])
def test_a_closed_stream_is_no_fault(closed: str) -> None:
    redirect = {"stdout": ">&-", "stderr": "2>&-"}[closed]
    command = ["sh", "-c", f'exec "$@" {redirect}', "sh", *program("raise KeyboardInterrupt")]
    assert subprocess.run(command, capture_output=True, check=False).returncode == 130


def test_a_real_ctrl_c() -> None:
    body = "print('ready', flush=True); time.sleep(60)"
    with subprocess.Popen(program(body), stdout=subprocess.PIPE, stderr=subprocess.PIPE) as waiting:
        assert waiting.stdout is not None
        assert waiting.stderr is not None
        waiting.stdout.readline()
        waiting.send_signal(signal.SIGINT)
        assert b"Traceback" not in waiting.stderr.read()
    assert waiting.returncode == 130
