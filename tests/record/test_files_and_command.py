"""Records in files, and `byrewise season`: notes, corrections, import and export; kill -9 loses nothing noted."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from advisor.casebook import Casebook, append, new_case
from advisor.cli import main
from advisor.farm import Farm
from advisor.farm.facts import complete
from advisor.knowledge import Knowledge
from advisor.language import lexicon
from advisor.record.entries import Record, entry_id
from advisor.record.files import export_csv, import_csv, read_csv, read_record
from advisor.record.fold import record_of
from advisor.record.ready import RecordError
from tests.conftest import DEMO
from tests.contracts.test_contracts import EXAMPLES

NAME = "Season byre"
FARM: list[dict[str, Any]] = [
    {"set": "groups.beef_cow", "to": {"class": "beef_cow", "count": 20}},
    {
        "set": "pens.pen.area",
        "to": {"value": 220.0, "low": 220.0, "high": 220.0, "unit": "m2", "said": "220 m2"},
    },
    {"set": "materials.barley_straw", "to": {"packs": 160.0, "pack": "round_bale", "bedding": True}},
    {"set": "start", "to": "2026-11-05"},
    {"set": "end", "to": "2027-04-04"},
]
FOREIGN = "Datum;Ballen;Bemerkung\r\n21.11.2026;4;nass\r\n28.11.2026;3,5;\r\n28.11.2026;3,5;\r\n\r\n"
MAPPED = ["--map", "date=Datum,amount=Ballen,note=Bemerkung", "--unit", "bales", "--material", "straw"]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path))
    case = new_case(NAME, dt.date(2026, 11, 1), "animals")
    Casebook(tmp_path).add(append(case, dt.date(2026, 11, 1), "the farm", FARM, asks="region"))
    return tmp_path


def season(*words: str, today: str = "2026-12-10") -> int:
    with pytest.raises(SystemExit) as end:
        main(["season", *words, "--today", today, "--draws", "30"])
    return int(end.value.code or 0)


def record() -> Record:
    return record_of(Casebook().read(NAME).case)


def test_own_csv_survives_the_round_trip(rushy: Farm, known: Knowledge) -> None:
    held = read_record(EXAMPLES / "season_entries.yaml", known)
    table = read_csv(export_csv(held).encode())
    farm, today = complete(rushy, known), dt.date(2027, 6, 1)
    again = import_csv(table, {}, {}, Record(), farm, known, lexicon(known), today)
    assert [e.id for e in Record.of(again)] == [e.id for e in held]
    assert [entry_id(e) for e in Record.of(again)] == [entry_id(e) for e in held]
    assert import_csv(table, {}, {}, held, farm, known, lexicon(known), today) == []


def test_a_cell_that_a_spreadsheet_would_run_is_written_as_text() -> None:
    from advisor.record.entries import read_entry

    bad = read_entry({"kind": "depth", "date": "2027-01-01", "depth": 0.4, "note": "=HYPERLINK(1)"})
    row = next(csv.DictReader(io.StringIO(export_csv(Record.of([bad])))))
    assert row["note"] == "'=HYPERLINK(1)"


@pytest.mark.parametrize(
    "text", ["", "a,a\n1,2\n", "date,amount\nsoon,4 bales\n", "date,amount\n2027-01-01,plenty\n"]
)
def test_tables_that_make_no_sense_are_refused(text: str, rushy: Farm, known: Knowledge) -> None:
    columns = {"date": "date", "amount": "amount"}

    def taken() -> object:
        farm, today = complete(rushy, known), dt.date(2027, 6, 1)
        return import_csv(read_csv(text.encode()), columns, {}, Record(), farm, known, lexicon(known), today)

    with pytest.raises(RecordError):
        taken()


@pytest.mark.parametrize("place", [0, 1, 2])
def test_options_may_stand_among_the_words(home: Path, place: int) -> None:
    words = [NAME, "add", "4 bales yesterday"]
    words[place:place] = ["--today", "2026-12-10", "--draws", "30"]
    with pytest.raises(SystemExit) as end:
        main(["season", *words])
    assert end.value.code == 0
    assert len(record().entries) == 1


def test_notes_are_kept_corrected_listed_and_taken_back(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert season(NAME, "add", "4 bales yesterday") == 0
    assert "Noted: 4 bales of barley straw, 9 December." in capsys.readouterr().out
    assert (
        season(NAME, "add", "--bedding", "barley straw", "--amount", "3 bales", "--date", "2026-12-01") == 0
    )
    assert season(NAME, "add", "--entry", '{"kind": "depth", "date": "2026-12-08", "depth": "38 cm"}') == 0
    mark = record().entries[0].id
    assert season(NAME, "correct", mark, "5 bales on 2026-12-01") == 0
    assert [(e.kind, getattr(e, "packs", None)) for e in record()] == [
        ("bedding", 5),
        ("depth", None),
        ("bedding", 4),
    ]
    capsys.readouterr()
    assert season(NAME, "list") == 0
    assert mark in capsys.readouterr().out
    assert season(NAME, "undo") == 0
    assert season(NAME, "undo", record().entries[-1].id) == 0
    assert [(e.kind, getattr(e, "packs", None)) for e in record()] == [("bedding", 3), ("depth", None)]
    assert Casebook().read(NAME).case.asked == "region"  # the open question of the conversation stays open


def test_the_same_file_twice_adds_nothing(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "beds.csv"
    path.write_bytes(FOREIGN.encode("latin-1"))
    assert season(NAME, "import", str(path), *MAPPED) == 0
    assert [getattr(e, "packs", None) for e in record()] == [4, 3.5, 3.5]  # two rows alike are two additions
    assert season(NAME, "import", str(path), *MAPPED) == 0
    assert "0 noted, 3 were there already." in capsys.readouterr().out
    out = tmp_path / "out.csv"
    assert season(NAME, "export", str(out)) == 0
    assert season(NAME, "import", str(out)) == 0
    assert len(record()) == 3


@pytest.mark.slow
def test_plain_headings_need_no_mapping(home: Path, tmp_path: Path) -> None:
    table = tmp_path / "beds.csv"
    table.write_text("Day,Bales,Remarks\n2026-12-01,3,\n2026-12-03,2,windy\n")
    assert season(NAME, "import", str(table)) == 0
    assert season(NAME, "import", str(table)) == 0
    assert [(entry.packs, entry.note) for entry in record()] == [(3.0, ""), (2.0, "windy")]


@pytest.mark.slow
def test_the_forecast_is_shown_in_every_format(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    season(NAME, "add", "4 bales on 2026-11-20 and the bed is 35 cm deep")
    capsys.readouterr()
    assert season(NAME) == 0
    shown = capsys.readouterr().out
    assert "This week" in shown
    assert "# recorded days" in shown
    assert season(NAME, "--format", "json") == 0
    data = json.loads(capsys.readouterr().out)
    assert data["learning"]["readings"] == 1
    for name in ("markdown", "html", "ics", "csv"):
        assert season(NAME, "--format", name, "-o", str(tmp_path / f"season-{name}")) == 0
    assert season(NAME, "--format", "svg", "-o", str(tmp_path / "charts")) == 0
    assert {path.suffix for path in (tmp_path / "charts").iterdir()} == {".svg"}
    assert season(NAME, "lookback", "--next", str(tmp_path / "next.yaml")) == 0
    assert "Turnout sheet" in capsys.readouterr().out
    assert (tmp_path / "next.yaml").read_text().startswith("schema_version: 1")


def test_files_alone_will_do(capsys: pytest.CaptureFixture[str]) -> None:
    files = ["--farm", str(DEMO / "rushy_end.yaml"), "--record", str(EXAMPLES / "season_entries.yaml")]
    assert season(*files, today="2026-12-14") == 0
    assert "Rushy End" in capsys.readouterr().out
    assert season("list", *files) == 0
    assert season("add", "4 bales today", *files) == 1


@pytest.mark.parametrize(
    "words",
    [
        ["nobody", "add", "4 bales today"],
        [NAME, "frobnicate"],
        [NAME, "add", "the weather is nice"],
        [NAME, "add", "4 bales on 2027-02-01"],
        [NAME, "add", "sold ten horses"],
        [NAME, "add", "--entry", "{"],
        [NAME, "undo", "nosuch"],
        [NAME, "import", "/no/such/file.csv"],
        [NAME, "--format", "pdf"],
        [],
    ],
)
def test_what_cannot_be_done_is_refused_in_one_message(
    words: list[str], home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert season(*words) == 1
    err = capsys.readouterr().err
    assert err.startswith("byrewise: ")
    assert "Traceback" not in err
    assert len(record()) == 0


WORKER = """
import os, sys
from advisor.cli import season as command
from advisor.cli import parser
number = int(sys.argv[1])
os.write(1, b"open\\n")
while True:
    number += 1
    words = parser("season").parse_args(
        ["season", sys.argv[2], "add", "--entry",
         '{"kind": "depth", "date": "2026-12-01", "depth": %s, "note": "%s"}' % (number / 1e6, number),
         "--today", "2026-12-10"])
    sys.stdout = open(os.devnull, "w")
    command.run(words)
    os.write(1, b"%d\\n" % number)
"""


@pytest.mark.slow
def test_kill_nine_loses_no_acknowledged_note(home: Path) -> None:
    luck = random.Random(4)
    promised: set[str] = set()
    for turn in range(4):
        command = [sys.executable, "-c", WORKER, str(1000 * (turn + 1)), NAME]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as worker:
            assert worker.stdout is not None
            assert worker.stdout.readline() == b"open\n"
            first = worker.stdout.readline().decode().strip()
            time.sleep(luck.random() * 0.2)
            os.kill(worker.pid, signal.SIGKILL)
            promised |= {first, *worker.stdout.read().decode().split()}
    assert len(promised) >= 4
    assert promised <= {entry.note for entry in record()}
