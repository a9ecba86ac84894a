"""The program's door: whatever comes in and wherever the answer goes, one answer and one of four exit statuses."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tui.__main__ import main
from tui.lines import entry
from tui.lines.answers import KINDS, VERSION
from tui.typed_paths import home_folder, typed_path

HERE = Path(__file__).parents[2]


def kitwright(command: str, **also: str) -> subprocess.CompletedProcess[str]:
    """The command line in a process of its own, through a shell that can close its outputs."""
    program = f'"{sys.executable}" -m tui {command}'
    return subprocess.run(
        ["bash", "-c", program], env={**os.environ, "PYTHONPATH": str(HERE), **also}, capture_output=True, text=True,
        timeout=60, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("words", [("week", "--nosuch"), (), ("nosuch",), ("book",), ("attendee", "nosuch", "x")])
def test_wrong_usage_is_one_json_document_where_json_is_asked_for(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*words, "--json"]) == 2
    found = capsys.readouterr()
    answer = json.loads(found.out)
    assert (answer["kind"], answer["version"], found.err) == ("refused", VERSION, "")
    assert set(answer) == {"kind", "version", *KINDS["refused"]}
    assert "kitwright" in answer["error"]


def test_wrong_usage_as_text_is_one_line_with_the_way_to_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["week", "--nosuch"]) == 2
    found = capsys.readouterr()
    assert (found.out, found.err) == (
        "",
        "kitwright week: unrecognized arguments: --nosuch. See: kitwright week --help\n",
    )


def test_what_follows_two_hyphens_is_no_option(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["search", "--file", str(tmp_path / "none.kitwright"), "--", "--json"]) == 1
    assert "There is no studio file" in capsys.readouterr().err


def test_a_fault_is_json_too_and_its_traceback_is_in_the_file_alone(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))

    def broken(_arguments: list[str]) -> int:
        raise ZeroDivisionError("planted")

    monkeypatch.setattr(entry, "_run", broken)
    assert main(["week", "--json"]) == 70
    answer = json.loads(capsys.readouterr().out)
    assert set(answer) == {"kind", "version", *KINDS["fault"]}
    assert "planted" in Path(answer["log"]).read_text("utf-8")
    monkeypatch.setenv("XDG_DATA_HOME", "/dev/null/nowhere")
    assert main(["week"]) == 70
    said = capsys.readouterr().err
    assert "planted" in said
    assert "Traceback" not in said
    assert said.count("\n") == 1


@pytest.mark.parametrize("to", [">&-", "2>&-", "<&- >&- 2>&-"])
def test_an_output_that_is_closed_is_no_fault(to: str, tmp_path: Path) -> None:
    found = kitwright(f'read "{HERE / "README.md"}" --json {to}', XDG_DATA_HOME=str(tmp_path))
    assert found.returncode in (0, 1)
    assert not (tmp_path / "kitwright" / "fault.log").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
def test_an_answer_that_finds_no_room_says_so(tmp_path: Path) -> None:
    found = kitwright(f'read "{HERE}/README.md" --json > /dev/full', XDG_DATA_HOME=str(tmp_path))
    assert found.returncode == 1
    assert "could not be written" in found.stderr
    assert "Traceback" not in found.stderr


def test_a_folder_of_nobody_is_a_path_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert typed_path("~nobodyofthatname/x") == Path("~nobodyofthatname/x")
    assert main(["week", "--file", "~nobodyofthatname/x"]) == 1
    assert "There is no studio file" in capsys.readouterr().err
    assert home_folder().is_absolute()
