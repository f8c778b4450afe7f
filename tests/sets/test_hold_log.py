import json
from datetime import date
from pathlib import Path

import pytest

from holdwright.cli.main import main
from holdwright.sets.hold_log import LogEntry, add_entry, due, read_log


@pytest.fixture
def hold(tmp_path: Path) -> Path:
    """Give the folder of a hold's files."""
    folder = tmp_path / "wall" / "jug"
    folder.mkdir(parents=True)
    (folder / "jug.report.json").write_text("{}", "utf-8")
    return folder


def log(*words: object) -> int:
    return main(["log", *map(str, words)])


def listed(folder: Path, capsys: pytest.CaptureFixture[str], on: str) -> dict[str, object]:
    capsys.readouterr()
    assert log(folder, "--on", on, "--json") == 0
    return json.loads(capsys.readouterr().out)


def test_what_is_written_is_read_again(tmp_path):
    path = tmp_path / "jug.log.csv"
    entries = [
        LogEntry(date(2026, 3, 1), "printed"),
        LogEntry(
            date(2026, 3, 4),
            "mounted",
            "2",
            "north wall, C5",
            12.5,
            'with "blue" tape, and a comma\nand a line',
        ),
    ]
    for entry in entries:
        add_entry(path, entry)
    assert read_log(path) == entries
    assert path.read_text("utf-8").startswith("on,event,copy,where,torque,note")


def test_a_life_on_the_wall(hold, capsys):
    """Mounted on the 1st: tightened again on the 2nd and the 8th, inspected each month; then retired."""
    assert log(hold, "printed", "--on", "2026-02-20") == 0
    assert listed(hold.parent, capsys, "2026-02-21")["due"] == []
    assert log(hold, "mounted", "--on", "2026-03-01", "--where", "C5", "--torque", "12") == 0
    coming = listed(hold.parent, capsys, "2026-03-02")["due"]
    assert [(each["on"], each["what"], each["overdue"]) for each in coming] == [
        ("2026-03-02", "tighten again", True),
        ("2026-03-31", "inspect", False),
    ]
    assert coming[0]["where"] == "C5"
    assert log(hold, "tightened", "--on", "2026-03-02", "--torque", "12") == 0
    coming = listed(hold.parent, capsys, "2026-03-03")["due"]
    assert [(each["on"], each["what"]) for each in coming] == [
        ("2026-03-08", "tighten again"),
        ("2026-04-01", "inspect"),
    ]
    log(hold, "tightened", "--on", "2026-03-08")
    log(hold, "inspected", "--on", "2026-04-05", "--note", "sound")
    assert [each["on"] for each in listed(hold, capsys, "2026-04-06")["due"]] == ["2026-05-05"]
    log(hold, "retired", "--on", "2026-05-05")
    assert listed(hold, capsys, "2026-06-01")["due"] == []


def test_copies_are_told_apart():
    entries = [
        LogEntry(date(2026, 3, 1), "mounted", "1", "A1"),
        LogEntry(date(2026, 3, 1), "mounted", "2", "B2"),
        LogEntry(date(2026, 3, 2), "taken down", "1"),
    ]
    assert {each.copy for each in due("jug", entries)} == {"2"}


def test_the_log_is_printed_for_people(hold, capsys):
    log(hold, "mounted", "--on", "2026-03-01", "--where", "C5", "--torque", "12", "--note", "first of all")
    capsys.readouterr()
    assert log(hold.parent, "--on", "2026-03-05") == 0
    told = capsys.readouterr().out
    assert "2026-03-01  mounted, C5, 12 N m, first of all" in told
    assert "2026-03-02  tighten again, jug, C5, overdue" in told
    assert "retire it when in doubt" in " ".join(told.split())


def test_what_is_wrong_is_said(hold, tmp_path, capsys):
    assert log(tmp_path / "none", "printed") == 3
    assert "has no hold; give the folder of one hold's files" in capsys.readouterr().err
    assert log(hold, "polished") == 2
    assert log(hold, "printed", "--on", "yesterday") == 2
    assert "is no date; enter it as 2026-11-29" in capsys.readouterr().err
    (hold / "jug.log.csv").write_text("on,event,copy,where,torque,note\n2026-01-01,polished,,,,\n", "utf-8")
    assert log(hold) == 3
    assert "Line 2 of" in capsys.readouterr().err
    assert log(hold, "printed") == 3
    assert "polished" in (hold / "jug.log.csv").read_text("utf-8")
