"""Puts a file into its place on the disk: whole or not at all, and only when it differs."""

from __future__ import annotations

import contextlib
import os
import threading
from pathlib import Path

from scheduling.errors import StoreError


def save_file(path: Path, octets: bytes, *, private: bool, what: str = "file", new: bool = False) -> bool:
    """Write `octets` to `path`; True if the file changed.

    A reader sees the old file or the new one and never a part. A file that holds these octets already is left as it
    is, with its time. `private` files are readable by their owner alone (mode 0600); others keep the mode they have
    or take the usual one. A symbolic link is followed, not replaced. what: the file's kind in a refusal. new: a name
    that is taken is refused.
    Raises StoreError: the folder is missing, full or closed to us; nothing is left behind then.
    """
    try:
        target = path.resolve()
        if new and os.path.lexists(path):
            raise _taken(path)
        if _holds(target, octets):
            if private:
                target.chmod(0o600)
            return False
        mode = 0o600 if private else _mode_of(target)
        part = target.with_name(f".kitwright-{os.getpid()}-{threading.get_ident()}.part")
        part.unlink(missing_ok=True)
        try:
            _write(part, octets, mode)
            if not new or not _linked(part, target):
                part.replace(target)
        except BaseException:
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)
            raise
        _keep_name(target.parent)
    except FileExistsError as error:
        raise _taken(path) from error
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise StoreError(
            f"The {what} {path} could not be written ({reason}).",
            hint="Choose a folder that exists and that you may write to.",
            field="path",
        ) from error
    return True


def _taken(path: Path) -> StoreError:
    return StoreError(f"{path} is there already.", hint="Choose another name.", field="path")


def _linked(part: Path, target: Path) -> bool:
    """Give the file its name only where nothing has it; False on a file system without links."""
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except OSError:
        return False
    part.unlink()
    return True


def _holds(target: Path, octets: bytes) -> bool:
    try:
        return target.stat().st_size == len(octets) and target.read_bytes() == octets
    except FileNotFoundError:
        return False


def _mode_of(target: Path) -> int | None:
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        return None


def _write(part: Path, octets: bytes, mode: int | None) -> None:
    descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode or 0o666)
    with os.fdopen(descriptor, "wb") as stream:
        stream.write(octets)
        stream.flush()
        os.fsync(stream.fileno())
    if mode is not None:
        part.chmod(mode)


def _keep_name(folder: Path) -> None:
    """Make the new name itself survive a power cut, where the system can."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
