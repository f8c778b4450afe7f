"""Writing a file whole or not at all."""

import os
import tempfile
from pathlib import Path


def write_whole(path: Path, content: bytes) -> None:
    """Write a file by way of a temporary sibling, so that it is never half there.

    Raises
    ------
    OSError
        When it cannot be written; what was there before stays.
    """
    path = path.resolve()
    descriptor, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    sibling = Path(name)
    try:
        with os.fdopen(descriptor, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        sibling.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
        sibling.replace(path)
    except BaseException:
        sibling.unlink(missing_ok=True)
        raise
