"""Messages as .eml files (RFC 5322) that her own mail program opens."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from scheduling.errors import StoreError
from scheduling.queries.messages import AsMail
from scheduling.studio import Studio


def keep_as_files(studio: Studio, message_ids: Sequence[int], folder: Path) -> tuple[Path, ...]:
    """Write each message as `message-<number>.eml` that only she can read; gives where they lie.

    Raises StoreError where a file is there already or cannot be written; those before it stay.
    """
    written: list[Path] = []
    for number in message_ids:
        target = folder / f"message-{number}.eml"
        mail = studio.ask(AsMail(number)).as_bytes()
        try:
            with target.open("xb") as file:
                target.chmod(0o600)
                file.write(mail)
        except FileExistsError as error:
            raise StoreError(f"{target} is there already.", hint="Choose another folder.") from error
        except OSError as error:
            raise StoreError(f"{target} cannot be written: {error.strerror}.", hint="Choose another folder.") from error
        written.append(target)
    return tuple(written)
