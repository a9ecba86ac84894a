"""The program as a user has it: the wheel built, installed in an environment of its own, and used from elsewhere."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.all

HERE = Path(__file__).parents[2]


def run(*words: str | Path, folder: Path, home: Path) -> subprocess.CompletedProcess[str]:
    """Run a program with nothing of this environment but PATH, in an empty home folder."""
    environ = {"PATH": os.environ["PATH"], "HOME": str(home), "LANG": "C.UTF-8"}
    environ |= {name: value for name, value in os.environ.items() if name.lower().endswith("_proxy") or "PIP" in name}
    done = subprocess.run(
        [str(word) for word in words], capture_output=True, text=True, cwd=folder, env=environ, check=False, timeout=600
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout, built from a copy so that the checkout stays clean."""
    folder = tmp_path_factory.mktemp("build")
    copy = folder / "a copy"
    listed = subprocess.run(["git", "ls-files", "-z"], capture_output=True, text=True, cwd=HERE, check=False).stdout
    names = [name for name in listed.split("\0") if name and not name.startswith("tests/")]
    for name in names or [str(path.relative_to(HERE)) for path in HERE.rglob("*") if path.is_file()]:
        source = HERE / name
        if source.is_file() and ".venv" not in source.parts:
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            (copy / name).write_bytes(source.read_bytes())
    run(sys.executable, "-m", "build", "--wheel", "--outdir", folder / "out", copy, folder=folder, home=folder)
    (built,) = (folder / "out").glob("kitwright-*.whl")
    return built


def test_the_wheel_holds_data_styles_and_licence_and_no_tests(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    wanted = [path for package in ("scheduling", "tui", "demo") for path in (HERE / package).rglob("*")]
    shipped = {
        str(path.relative_to(HERE)) for path in wanted
        if path.suffix in (".tcss", ".json", ".py", ".typed") and "__pycache__" not in path.parts
    }  # fmt: skip
    tracked = subprocess.run(["git", "ls-files"], capture_output=True, text=True, cwd=HERE, check=False).stdout.split()
    if tracked:
        shipped &= set(tracked)
    assert shipped - set(names) == set()
    assert any(name.endswith("licenses/LICENSE") for name in names)
    assert not [name for name in names if name.startswith(("tests", "shared"))]


def test_installed_elsewhere_it_makes_the_demo_books_shows_the_week_and_exports(wheel: Path, tmp_path: Path) -> None:
    home, place = tmp_path / "empty home", tmp_path / "a place"
    home.mkdir()
    place.mkdir()
    run(sys.executable, "-m", "venv", place / "env", folder=place, home=home)
    run(place / "env/bin/python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check", wheel,
        folder=place, home=home)  # fmt: skip
    kitwright = place / "env/bin/kitwright"

    def line(*words: str) -> str:
        return run(kitwright, *words, folder=place, home=home).stdout

    assert line("--version").startswith("kitwright 0.")
    made = line("demo", "--make-only")
    file = next(home.rglob("demo.kitwright"))
    assert str(file) in made
    booked = json.loads(line("book", "C09", "Oriel Tranthorpe", "--json", "--file", str(file)))
    assert booked["refs"]["state"] == "confirmed"
    assert "Mon 1 Feb 2027" in line("week", "--file", str(file))
    assert "Written" in line("export", "--file", str(file))
    assert (place / "classes.ics").read_bytes().count(b"BEGIN:VEVENT") >= 12
    assert "main job as text" in line("demo")
    where = run(
        place / "env/bin/python", "-c", "import scheduling, tui, demo; print(tui.__file__)", folder=place, home=home
    )
    assert str(place) in where.stdout
