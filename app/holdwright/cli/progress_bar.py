"""A progress bar for people, silence for pipes."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from holdwright.printable import printable

if TYPE_CHECKING:
    from holdwright.progress import Progress


@contextmanager
def bar(title: str) -> Iterator["Progress"]:
    """Show a bar on the error stream while the block runs, if a terminal is there to show it."""
    from holdwright.progress import SILENT, Progress

    if not sys.stderr.isatty():
        yield SILENT
        return
    from tqdm import tqdm

    title = printable(title)
    layout = "{percentage:3.0f}% |{bar:24}| {elapsed} {desc}"
    with tqdm(total=1.0, desc=title, bar_format=layout, leave=False, file=sys.stderr) as line:

        def listen(fraction: float, text: str) -> None:
            line.set_description_str(f"{title}: {text}", refresh=False)
            line.update(max(fraction - line.n, 0.0))

        yield Progress(listen)
