"""Messages as .eml files (RFC 5322) that her own mail program opens."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from scheduling.queries.messages import AsMail
from scheduling.saving import save_file
from scheduling.studio import Studio


def keep_as_files(studio: Studio, message_ids: Sequence[int], folder: Path) -> tuple[Path, ...]:
    """Write each message as `message-<number>.eml` that only she can read; gives where they lie.

    Raises StoreError where a file is there already or cannot be written; those before it stay.
    """
    written: list[Path] = []
    for number in message_ids:
        target = folder / f"message-{number}.eml"
        mail = studio.ask(AsMail(number)).as_bytes()
        save_file(target, mail, private=True, what="message", new=True)
        written.append(target)
    return tuple(written)
