"""`byrewise knowledge`: check, list, show, schema."""

from __future__ import annotations

import argparse
import shutil
from pathlib import Path

import pytest

from advisor.cli.knowledge import add_parser
from advisor.knowledge import SEEN_WORDS, knowledge, knowledge_folder
from advisor.knowledge.models import TOPICS
from advisor.knowledge.showing import find, shown


def ask(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    parser = argparse.ArgumentParser()
    add_parser(parser.add_subparsers())
    namespace = parser.parse_args(["knowledge", *words])
    code = int(namespace.run(namespace))
    said = capsys.readouterr()
    return code, said.out, said.err


def test_check_counts_what_is_held(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    for topic in ("facts", "facts.yaml"):
        source = knowledge_folder() / topic
        if source.is_dir():
            shutil.copytree(source, tmp_path / topic)
        else:
            shutil.copy(source, tmp_path / topic)
    code, out, err = ask(capsys, "check", "--folder", str(tmp_path))
    assert (code, err) == (0, "")
    assert f"{len(knowledge().facts):6} facts" in out
    assert all(name in out for name in (*TOPICS, *SEEN_WORDS))
    assert "     0 in all" in out


def test_check_tells_every_fault_and_ends_with_one(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "glossary").mkdir()
    (tmp_path / "glossary" / "x.yaml").write_text("a: {nam: a}\nb: {name: b, means: has 2}\n")
    code, out, err = ask(capsys, "check", "--folder", str(tmp_path))
    assert code == 1
    assert out.splitlines() == [
        "glossary/x.yaml:1: 'a.means' is missing (add it)",
        "glossary/x.yaml:1: 'a.name' is missing (add it)",
        "glossary/x.yaml:1: unknown key 'a.nam' (did you mean 'name'?)",
        "glossary/x.yaml:2: '2' stands in prose as a bare number (make it a figure and write {its_id} here)",
    ]
    assert "4 faults" in err


def test_list(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = ask(capsys, "list")
    assert code == 0
    assert [line.split()[1] for line in out.splitlines()] == list(TOPICS)
    code, out, _ = ask(capsys, "list", "material")
    assert code == 0
    assert any(line.split(maxsplit=1) == ["oat_straw", "oat straw"] for line in out.splitlines())
    code, out, err = ask(capsys, "list", "tractors")
    assert (code, out) == (1, "")
    assert "no topic is called 'tractors'" in err


def test_show_gives_values_evidence_choice_and_uses(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = ask(capsys, "show", "oat", "straw")
    entry = knowledge().materials["oat_straw"]
    assert code == 0
    assert "material oat_straw, in materials/" in out
    flat = " ".join(out.split())
    for figure in (entry.moisture, entry.carbon, entry.nitrogen):
        assert f"{figure.value:g}" in out
        assert figure.why.split(".")[0] in flat
        for item in figure.evidence:
            assert SEEN_WORDS[item.seen] in flat
            if item.source:
                assert knowledge().sources[item.source].title in flat
                assert item.at in flat
    code, out, _ = ask(capsys, "show", "fork_rate")
    assert code == 0
    assert "rule fork_many_hours" in out
    assert "formula fork_hours" in out


def test_show_forgives_slips_and_suggests(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = ask(capsys, "show", "barly straww")
    assert code == 0
    assert out.startswith("barley straw\n")
    code, out, err = ask(capsys, "show", "xqzw")
    assert (code, out) == (1, "")
    assert "nothing is called 'xqzw'" in err


@pytest.mark.slow
@pytest.mark.parametrize("topic", sorted(TOPICS))
def test_every_kind_of_entry_can_be_shown(topic: str) -> None:
    held = knowledge()
    for key in list(held.topic(topic))[:2]:
        text = shown(held, topic, key)
        assert key in text
        assert "used by:" in text
        found, _ = find(held, key)
        assert (topic, key) in found
