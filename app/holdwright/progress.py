"""How long work tells what it is doing, and learns that it should stop."""

from collections.abc import Callable

from holdwright.errors import Cancelled

Listener = Callable[[float, str], None]


class Progress:
    """A stretch of work from 0 to 1, that can be told off into parts.

    Parameters
    ----------
    listener
        Called with the whole work's fraction done (0 to 1) and a short present-tense text.
    cancelled
        Asked at every report; when it answers True the report raises `Cancelled`.
    start, end
        The part of the whole that this stretch covers.
    """

    def __init__(
        self,
        listener: Listener | None = None,
        cancelled: Callable[[], bool] | None = None,
        start: float = 0.0,
        end: float = 1.0,
    ) -> None:
        self._listener = listener
        self._cancelled = cancelled
        self._start = start
        self._end = end

    def report(self, fraction: float, text: str = "") -> None:
        """Say that `fraction` (0 to 1) of this stretch is done.

        Raises
        ------
        Cancelled
            When somebody asked for the work to stop.
        """
        if self._cancelled is not None and self._cancelled():
            raise Cancelled("The work was stopped as asked; nothing was changed.")
        if self._listener is not None:
            fraction = min(max(fraction, 0.0), 1.0)
            self._listener(self._start + fraction * (self._end - self._start), text)

    def part(self, start: float, end: float) -> "Progress":
        """Give the stretch from `start` to `end` (fractions of this one) as a Progress of its own."""
        span = self._end - self._start
        return Progress(self._listener, self._cancelled, self._start + start * span, self._start + end * span)


SILENT = Progress()
"""For work nobody watches."""
