"""The command as it is typed: exit codes, streams, files, and what starting it costs."""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from advisor.cli import main
from tests.conftest import DEMO

FARM = str(DEMO / "rushy_end.yaml")


def byrewise(*words: str, text: str = "", cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "advisor", *words],
        input=text,
        capture_output=True,
        text=True,
        cwd=cwd,
        check=False,
    )


@dataclass
class Ran:
    """What a command left behind when run inside the test's own process."""

    returncode: int
    stdout: str
    stderr: str


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ran]:
    """Run the command here: the same code, without the cost of another process."""

    def running(*words: str, text: str = "") -> Ran:
        monkeypatch.setattr(sys, "stdin", io.StringIO(text))
        with pytest.raises(SystemExit) as ended:
            main(words)
        out, err = capsys.readouterr()
        return Ran(int(ended.value.code or 0), out, err)

    return running


def test_version_and_help() -> None:
    assert byrewise("--version").stdout.startswith("byrewise ")
    shown = byrewise("--help")
    assert shown.returncode == 0
    assert "plan" in shown.stdout


def test_starting_up_imports_nothing_heavy() -> None:
    run = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "advisor", "--version"],
        capture_output=True,
        text=True,
        check=True,
    )
    imported = {line.rsplit("|", 1)[-1].strip() for line in run.stderr.splitlines()}
    assert not imported & {
        "pint",
        "numpy",
        "prompt_toolkit",
        "pydantic",
        "yaml",
        "highspy",
        "matplotlib",
        "typst",
    }


@pytest.mark.parametrize(
    "words", [("nonsense",), ("plan",), ("plan", FARM, "--format", "docx"), ("plan", FARM, "--today", "x")]
)
def test_wrong_usage_is_two(words: tuple[str, ...], run: Callable[..., Ran]) -> None:
    ran = run(*words)
    assert ran.returncode == 2
    assert "Traceback" not in ran.stderr


def test_a_refused_farm_names_every_fault_with_its_line(tmp_path: Path, run: Callable[..., Ran]) -> None:
    farm = tmp_path / "farm.yaml"
    farm.write_text(
        "groups:\n  - {class: beef cwo, count: 0}\n  - {class: ewe, count: 3, wieght: 70 kg}\n"
        "pens: [{area: 20 parsecs}]\nstart: 2027-04-01\nend: 2026-11-01\n",
        encoding="utf-8",
    )
    ran = run("plan", str(farm))
    assert ran.returncode == 1
    assert ran.stdout == ""
    for part in (":2: unknown animal 'beef cwo'", "did you mean 'beef cow'", "wieght", "parsecs"):
        assert part in ran.stderr
    assert "Traceback" not in ran.stderr


@pytest.mark.parametrize("text", ["", "just words", "[1, 2]", "\x00", "groups: []", "a: 1\n b: 2"])
def test_what_is_no_farm_is_refused_kindly(text: str, run: Callable[..., Ran]) -> None:
    ran = run("plan", "-", text=text)
    assert ran.returncode == 1
    assert ran.stderr.startswith("byrewise: ")
    assert "Traceback" not in ran.stderr


def test_output_never_overwrites_silently(tmp_path: Path, run: Callable[..., Ran]) -> None:
    place = tmp_path / "plan.md"
    first = run("plan", FARM, "--draws", "20", "--format", "markdown", "-o", str(place))
    assert first.returncode == 0
    before = place.read_text(encoding="utf-8")
    again = run("plan", FARM, "--draws", "20", "--format", "text", "-o", str(place))
    assert again.returncode == 1
    assert place.read_text(encoding="utf-8") == before
    assert run("plan", FARM, "--draws", "20", "-o", str(place), "--force").returncode == 0


def test_a_plan_can_be_made_from_any_folder(tmp_path: Path) -> None:
    run = byrewise("plan", FARM, "--draws", "20", cwd=tmp_path)
    assert run.returncode == 0
    assert "Do they fit?" in run.stdout
    assert "\x1b" not in run.stdout
