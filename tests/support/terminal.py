"""A real terminal for end-to-end tests: tmux runs the program, keys go in, the screen comes out as text."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import time
import uuid
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

TMUX = shutil.which("tmux")


class Terminal:
    """One program in one window of a tmux server of its own.

    command: program and arguments. size: (columns, lines). environ: added to a bare environment, so that what the
    person who runs the tests has set does not reach the program.
    """

    def __init__(
        self,
        command: Sequence[str | Path],
        *,
        size: tuple[int, int] = (80, 24),
        environ: Mapping[str, str] | None = None,
        folder: Path | None = None,
    ) -> None:
        assert TMUX, "tmux is not installed"
        self._server = f"kitwright-test-{uuid.uuid4().hex[:12]}"
        self._environ = {
            "PATH": os.environ.get("PATH", "/usr/bin:/bin"),
            "HOME": os.environ.get("HOME", "/"),
            "LANG": "C.UTF-8",
            "TZ": "UTC",
            "COLORTERM": "truecolor",
            "TEXTUAL_ANIMATIONS": "none",
            **(environ or {}),
        }
        columns, lines = size
        settings = ["set -g escape-time 0", "set -g status off", "set -g remain-on-exit on", "set -g focus-events off"]
        words = [word for setting in settings for word in (*setting.split(), ";")]
        self._tmux(
            *words, "new-session", "-d", "-s", "it", "-x", str(columns), "-y", str(lines), "-c",
            str(folder or Path.cwd()),
            "--", "env", "-i", "TERM=tmux-256color", *(f"{name}={value}" for name, value in self._environ.items()),
            *map(str, command),
        )  # fmt: skip

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def keys(self, *names: str) -> None:
        """Press keys by tmux's names: "Down", "Enter", "Escape", "C-o", "b"."""
        self._tmux("send-keys", "-t", "it", *names)

    def type(self, text: str) -> None:
        """Type text as it is, letter by letter."""
        self._tmux("send-keys", "-t", "it", "-l", "--", text)

    def paste(self, text: str) -> None:
        """Paste text as a terminal does, bracketed."""
        self._tmux("set-buffer", "--", text, ";", "paste-buffer", "-p", "-t", "it")

    def resize(self, columns: int, lines: int) -> None:
        """Make the window another size."""
        self._tmux("resize-window", "-t", "it", "-x", str(columns), "-y", str(lines))

    def lines(self) -> list[str]:
        """The screen as it is now, without blanks at the ends of lines."""
        return [line.rstrip() for line in self._tmux("capture-pane", "-t", "it", "-p").split("\n")][:-1]

    def text(self) -> str:
        """The screen as it is now, as one text."""
        return "\n".join(self.lines())

    def codes(self) -> str:
        """The screen as it is now with its colour codes."""
        return self._tmux("capture-pane", "-t", "it", "-p", "-e")

    def wait_for(self, what: str | Callable[[str], bool], *, seconds: float = 15) -> str:
        """Wait until `what` is on the screen (a text, or a test of the whole screen); gives the screen.

        Raises AssertionError with the screen as it was when the time is up.
        """
        until = time.monotonic() + seconds
        while True:
            shown = self.text()
            if what in shown if isinstance(what, str) else what(shown):
                return shown
            if time.monotonic() > until:
                raise AssertionError(f"not on the screen after {seconds} s: {what!r}\n{shown}")
            time.sleep(0.02)

    @property
    def pid(self) -> int:
        """Process id of the program."""
        return int(self._tmux("display-message", "-t", "it", "-p", "#{pane_pid}"))

    @property
    def is_running(self) -> bool:
        return self._tmux("display-message", "-t", "it", "-p", "#{pane_dead}").strip() == "0"

    def kill(self) -> None:
        """End the program as a power cut would: kill -9, no clean-up."""
        os.kill(self.pid, signal.SIGKILL)

    def wait_for_end(self, *, seconds: float = 15) -> int:
        """Wait until the program has ended; gives its exit code, 137 after `kill`."""
        until = time.monotonic() + seconds
        while self.is_running:
            assert time.monotonic() < until, f"still running after {seconds} s\n{self.text()}"
            time.sleep(0.02)
        status = self._tmux("display-message", "-t", "it", "-p", "#{pane_dead_status}").strip()
        return int(status) if status else 128 + signal.SIGKILL  # tmux has no status for a program that was killed

    def close(self) -> None:
        """End the program and its terminal."""
        subprocess.run([str(TMUX), "-L", self._server, "kill-server"], capture_output=True, check=False)

    def _tmux(self, *words: str) -> str:
        done = subprocess.run(
            [str(TMUX), "-L", self._server, "-f", os.devnull, *words], capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, f"tmux {' '.join(words)}: {done.stderr}"
        return done.stdout
