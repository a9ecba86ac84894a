"""The machine's time zone, as it is offered at the first start."""

from __future__ import annotations

from pathlib import Path

from tui.machine_zone import machine_zone


def test_the_variable_goes_first(tmp_path: Path) -> None:
    text = tmp_path / "timezone"
    text.write_text("Asia/Tokyo\n")
    assert machine_zone({"TZ": ":Europe/Lisbon"}, link=tmp_path / "none", text=text) == "Europe/Lisbon"


def test_the_systems_link_is_read_then_its_text(tmp_path: Path) -> None:
    target = tmp_path / "zoneinfo" / "Asia" / "Kolkata"
    target.parent.mkdir(parents=True)
    target.touch()
    link, text = tmp_path / "localtime", tmp_path / "timezone"
    link.symlink_to(target)
    text.write_text("Asia/Tokyo\n")
    assert machine_zone({}, link=link, text=text) == "Asia/Kolkata"
    link.unlink()
    assert machine_zone({}, link=link, text=text) == "Asia/Tokyo"


def test_a_name_that_nobody_knows_is_passed_over(tmp_path: Path) -> None:
    text = tmp_path / "timezone"
    text.write_text("Asia/Tokyo\n")
    assert machine_zone({"TZ": "EST5EDT,M3.2.0"}, link=tmp_path / "none", text=text) == "Asia/Tokyo"
    text.write_bytes(b"\xff\xfe")
    assert machine_zone({}, link=tmp_path / "none", text=text) == ""
