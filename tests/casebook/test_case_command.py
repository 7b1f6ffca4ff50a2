"""`byrewise case ...` as it is typed."""

from __future__ import annotations

import argparse
import io
import json
import re
import sys
from pathlib import Path

import pytest

from advisor.casebook import Casebook, append, undo
from advisor.casebook.as_json import to_json
from advisor.cli.case import add_parser
from tests.casebook.samples import DAY, names, sample


def typed(*words: str) -> int:
    parser = argparse.ArgumentParser(prog="byrewise")
    add_parser(parser.add_subparsers(required=True))
    namespace = parser.parse_args(["case", *words])
    code: int = namespace.run(namespace)
    return code


@pytest.fixture
def filled(book: Casebook) -> Casebook:
    book.add(sample(["six cows", "8 m by 12 m"]))
    return book


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """The one line of a refusal."""
    capsys.readouterr()
    assert typed(*words) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("byrewise: ")
    assert err.count("\n") == 1
    return err


def test_the_list_is_empty_at_first(book: Casebook, capsys: pytest.CaptureFixture[str]) -> None:
    assert typed("list") == 0
    assert capsys.readouterr().out == "There are no saved cases yet.\n"
    assert typed("list", "--json") == 0
    assert json.loads(capsys.readouterr().out) == {"schema_version": 1, "cases": []}
    assert not book.home.exists()  # looking makes nothing


def test_the_list(filled: Casebook, capsys: pytest.CaptureFixture[str]) -> None:
    filled.create("alone", DAY)
    assert typed("list") == 0
    assert capsys.readouterr().out == (
        "alone\n"
        "    begun on 4 October 2026, nothing said yet\n"
        "Lower byre\n"
        "    begun on 4 October 2026, 4 messages, the last on 4 October 2026\n"
    )


def test_the_list_tells_of_files_it_cannot_read(filled: Casebook, capsys: pytest.CaptureFixture[str]) -> None:
    (filled.home / "cases" / "odd.jsonl").write_text("shopping list")
    assert typed("list") == 0
    out, err = capsys.readouterr()
    assert out.startswith("Lower byre\n")
    assert "not a case that byrewise can read" in err
    assert typed("list", "--json") == 0
    good, odd = json.loads(capsys.readouterr().out)["cases"]
    assert (good["name"], good["messages"], good["problem"]) == ("Lower byre", 4, None)
    assert (odd["name"], odd["file"]) == (None, str(filled.home / "cases" / "odd.jsonl"))
    assert "not a case" in odd["problem"]


def test_show_prints_what_was_said_day_by_day(book: Casebook, capsys: pytest.CaptureFixture[str]) -> None:
    case = append(sample(["six cows"]), DAY.replace(day=5), "a long one " * 12, [{}])
    book.add(undo(append(case, DAY.replace(day=5), "\x1b[2Jline one\nline two", [{}]), DAY, "undo"))
    assert typed("show", "lower byre") == 0
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert all(len(line) <= 60 for line in out.splitlines()[2:])
    assert re.search(r"4 October 2026\n   1  six cows\n", out)
    assert "   5  \ufffd[2Jline one line two  (taken back)\n" in out


def test_show_tells_of_damage(filled: Casebook, capsys: pytest.CaptureFixture[str]) -> None:
    path = filled.path_of("Lower byre")
    path.write_bytes(path.read_bytes()[:-9])
    assert typed("show", "Lower byre") == 0
    assert "cut short" in capsys.readouterr().err


def test_rename_and_copy(filled: Casebook, capsys: pytest.CaptureFixture[str]) -> None:
    assert typed("rename", "lower byre", "Upper byre") == 0
    assert typed("copy", "upper byre", "Second") == 0
    assert names(filled) == ["Second", "Upper byre"]
    assert "'lower byre' is now called 'Upper byre'" in capsys.readouterr().out


def test_refusals_are_one_line(filled: Casebook, capsys: pytest.CaptureFixture[str]) -> None:
    assert "no case called 'x'" in refused(capsys, "show", "x")
    assert "no case called 'x'" in refused(capsys, "export", "x")
    assert "already a case" in refused(capsys, "copy", "lower byre", "LOWER BYRE")
    assert "needs a name" in refused(capsys, "rename", "lower byre", " ")
    with filled.open("lower byre"):
        assert "another window" in refused(capsys, "delete", "lower byre", "--yes")


def test_export_and_import_bring_the_case_back(
    filled: Casebook, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "case.json"
    assert typed("export", "lower byre", "-o", str(path)) == 0
    assert json.loads(path.read_text()) == to_json(filled.read("lower byre").case)
    assert "already a case" in refused(capsys, "import", str(path))
    assert typed("import", str(path), "--as", " Upper byre ") == 0
    assert names(filled) == ["Lower byre", "Upper byre"]
    assert filled.read("upper byre").case.events == filled.read("lower byre").case.events
    assert "needs a name" in refused(capsys, "import", str(path), "--as", "")


def test_export_to_the_screen_and_import_from_standard_input(
    book: Casebook, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    case = append(sample(["höhe \U0001f404"]), DAY, "half a letter: \udc80")
    book.add(case)
    assert typed("export", "lower byre") == 0
    text = capsys.readouterr().out
    book.delete("lower byre")
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
    assert typed("import", "-") == 0
    assert book.read("lower byre").case == case


def test_export_never_overwrites_unasked(
    filled: Casebook, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "farm.yaml"
    path.write_text("mine")
    assert "already there" in refused(capsys, "export", "lower byre", "-o", str(path))
    assert path.read_text() == "mine"
    assert typed("export", "lower byre", "-o", str(path), "--force") == 0
    assert path.read_text().startswith("{")
    assert "cannot be written" in refused(capsys, "export", "lower byre", "-o", str(tmp_path / "no" / "x"))


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"{}", b'{"format": "byrewise case"}', b"x: yaml"])
def test_import_refuses_what_is_no_export(
    book: Casebook, tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes
) -> None:
    path = tmp_path / "file.json"
    path.write_bytes(content)
    assert "not a whole case export" in refused(capsys, "import", str(path))
    assert names(book) == []


def test_import_refuses_a_newer_form_by_name(
    book: Casebook, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "file.json"
    path.write_text(json.dumps({**to_json(sample()), "schema_version": 7}))
    assert "'Lower byre' was saved by a newer byrewise" in refused(capsys, "import", str(path))


def test_import_of_what_cannot_be_opened(
    book: Casebook, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "it is not there" in refused(capsys, "import", str(tmp_path / "none.json"))
    assert "it is a folder" in refused(capsys, "import", str(tmp_path))
    assert "no file name" in refused(capsys, "import", "a\0b")


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("answer", "gone"), [("yes\n", True), (" Y\n", True), ("no\n", False), ("\n", False), ("", False)]
)
def test_delete_asks_first(
    filled: Casebook, monkeypatch: pytest.MonkeyPatch, answer: str, gone: bool
) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal(answer))
    assert typed("delete", "lower byre") == (0 if gone else 1)
    assert names(filled) == ([] if gone else ["Lower byre"])


def test_delete_without_anyone_to_ask_needs_yes(
    filled: Casebook, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("yes\n"))
    assert "add --yes" in refused(capsys, "delete", "lower byre")
    assert names(filled) == ["Lower byre"]
    assert typed("delete", "lower byre", "--yes") == 0
    assert names(filled) == []


@pytest.mark.parametrize("words", [[], ["list", "x"], ["show"], ["rename", "a"], ["burn", "a"]])
def test_wrong_usage_ends_with_2(book: Casebook, words: list[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        typed(*words)
    assert ended.value.code == 2


def test_a_read_only_book_is_refused_kindly(
    read_only_book: Casebook, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BYREWISE_HOME", str(read_only_book.home))
    assert typed("show", "lower byre") == 0
    for words in (
        ["delete", "lower byre", "--yes"],
        ["copy", "lower byre", "x"],
        ["rename", "lower byre", "x"],
    ):
        assert "you have no permission" in refused(capsys, *words)
