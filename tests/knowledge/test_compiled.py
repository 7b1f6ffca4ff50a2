"""The compiled copy of the knowledge base: the same content, never stale, never in the way."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.knowledge import Knowledge, KnowledgeError, compiled, knowledge, knowledge_folder, read_knowledge
from advisor.knowledge.base import _compiled, plain_data
from advisor.knowledge.models import TOPICS
from advisor.knowledge.yaml_text import read_yaml


@pytest.fixture(autouse=True)
def _no_shared_copy(monkeypatch: pytest.MonkeyPatch) -> None:
    """Here the copy goes where BYREWISE_HOME says."""
    monkeypatch.delenv("BYREWISE_CACHE", raising=False)


SOURCE = "one:\n  by: A. Writer\n  title: A book\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small knowledge folder with a cache of its own."""
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path / "home"))
    made = tmp_path / "knowledge"
    (made / "sources").mkdir(parents=True)
    (made / "sources" / "books.yaml").write_text(SOURCE)
    (made / "documents").mkdir()
    (made / "documents" / "plan.yaml").write_text("hello: Good day, {name}.\n")
    return made


def fresh(folder: Path) -> Knowledge:
    """The knowledge base as a new process would read it."""
    knowledge.cache_clear()
    _compiled.cache_clear()
    return knowledge(folder)


def copies(folder: Path) -> list[Path]:
    return sorted((folder.parent / "home" / "cache").glob("*"))


@pytest.mark.slow
def test_the_whole_base_comes_out_as_it_went_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path))
    read, faults, located = read_knowledge(knowledge_folder())
    assert not faults
    monkeypatch.setattr("advisor.knowledge.base.read_knowledge", lambda folder: (read, faults, located))
    fresh(knowledge_folder())  # writes the copy
    held = fresh(knowledge_folder())
    for topic in TOPICS:
        assert list(held.topic(topic)) == list(read.topic(topic))
        for name, entry in read.topic(topic).items():
            assert held.topic(topic)[name] == entry
            assert repr(held.topic(topic)[name]) == repr(entry)
    assert held.places == read.places
    knowledge.cache_clear()
    _compiled.cache_clear()


def test_an_entry_is_made_once_and_can_be_changed_in_copy(folder: Path) -> None:
    held = fresh(folder)
    assert held.sources["one"] is held.sources["one"]
    assert held.sources["one"].model_copy(update={"year": "1999"}).year == "1999"
    assert "one" in held.sources
    assert "two" not in held.sources
    assert len(held.sources) == 1
    with pytest.raises(KeyError):
        held.sources["two"]


def test_a_change_of_the_content_is_seen(folder: Path) -> None:
    assert fresh(folder).sources["one"].title == "A book"
    stat = (folder / "sources" / "books.yaml").stat()
    (folder / "sources" / "books.yaml").write_text(SOURCE.replace("A book", "B book"))
    os.utime(folder / "sources" / "books.yaml", ns=(stat.st_atime_ns, stat.st_mtime_ns))
    assert fresh(folder).sources["one"].title == "B book"
    (folder / "sources" / "more.yaml").write_text(SOURCE.replace("one", "two"))
    assert list(fresh(folder).sources) == ["one", "two"]
    (folder / "sources" / "books.yaml").rename(folder / "sources" / "zbooks.yaml")
    assert list(fresh(folder).sources) == ["two", "one"]
    assert len(copies(folder)) == 1, "old copies do not pile up"


def test_the_key_counts_the_code_and_moves_with_every_byte(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = compiled.content_key(folder)
    assert compiled.content_key(folder) == first
    other = folder.parent / "package" / "knowledge"
    other.mkdir(parents=True)
    package = Path(compiled.__file__).parent
    for path in [*package.glob("*.py"), package.parent / "units.py", package.parent / "units.txt"]:
        (
            other / path.relative_to(package) if path.parent == package else other.parent / path.name
        ).write_bytes(path.read_bytes())
    monkeypatch.setattr(compiled, "__file__", str(other / "compiled.py"))
    assert compiled.content_key(folder) == first
    (other / "models.py").write_text("# changed\n")
    assert compiled.content_key(folder) != first


def test_faults_are_told_and_not_kept(folder: Path) -> None:
    (folder / "sources" / "books.yaml").write_text("one: {by: A. Writer, titel: A book}\n")
    for _ in range(2):
        with pytest.raises(KnowledgeError, match=r"sources/books\.yaml:1: unknown key 'one\.titel'"):
            fresh(folder)
    assert not copies(folder)


@pytest.mark.parametrize("hurt", ["empty", "cut", "flipped", "words", "binary", "a folder"])
def test_a_hurt_copy_is_made_again(folder: Path, hurt: str) -> None:
    fresh(folder)
    (copy,) = copies(folder)
    sound = copy.read_bytes()
    at = sound.index(b"A. Writer")
    if hurt == "a folder":
        copy.unlink()
        copy.mkdir()
    else:
        copy.write_bytes(
            {
                "empty": b"",
                "cut": sound[:-5],
                "flipped": sound[:at] + b"B" + sound[at + 1 :],
                "words": b"hello\n",
                "binary": bytes(range(256)) * 3,
            }[hurt]
        )
    assert fresh(folder).sources["one"].by == "A. Writer"
    if hurt != "a folder":
        assert copy.read_bytes() == sound
    assert copies(folder) == [copy], "nothing half-written is left"


def test_it_works_where_no_copy_can_be_written(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder.parent / "file").write_text("in the way")
    monkeypatch.setenv("BYREWISE_HOME", str(folder.parent / "file"))
    assert fresh(folder).sources["one"].by == "A. Writer"
    assert plain_data("documents/plan.yaml", folder) == {"hello": "Good day, {name}."}


def test_other_files_come_from_the_copy_too(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fresh(folder)
    monkeypatch.setattr("advisor.knowledge.base.read_yaml", None)  # it must not be needed again
    _compiled.cache_clear()
    assert plain_data("documents/plan.yaml", folder) == {"hello": "Good day, {name}."}


def test_other_files_that_cannot_be_read_say_so(folder: Path) -> None:
    (folder / "documents" / "plan.yaml").write_text("a: 1\na: 2\n")
    fresh(folder)
    with pytest.raises(KnowledgeError, match=r"documents/plan\.yaml:2: 'a' is written twice"):
        plain_data("documents/plan.yaml", folder)
    with pytest.raises(KnowledgeError, match="cannot be read"):
        plain_data("documents/none.yaml", folder)


@pytest.mark.slow
def test_plain_data_is_what_the_file_says() -> None:
    files = sorted((knowledge_folder() / "documents").glob("*.yaml"))
    assert files
    for path in files:
        assert plain_data(f"documents/{path.name}") == read_yaml(path).data


def test_heavy_libraries_are_not_loaded() -> None:
    code = (
        "import sys; from advisor.knowledge import knowledge; k = knowledge(); list(k.animals.values());"
        "print(*{'pint', 'numpy', 'prompt_toolkit', 'yaml'} & set(sys.modules))"
    )
    knowledge.cache_clear()
    _compiled.cache_clear()
    knowledge()  # makes the copy where there is none
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == ""
