"""The set's report among its files, and digests of those."""

import hashlib
from pathlib import Path
from typing import Final

REPORT: Final = "set.report.json"
"""Name of a set's report, which has the digests of the set's other files."""


def sha256_of(path: Path) -> str:
    """Give the digest of a file's bytes (FIPS 180-4), hexadecimal."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
