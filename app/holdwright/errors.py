"""What can go wrong, one class for each answer a caller can give.

::

    HoldwrightError
    ├── InputError        the sculpt's file cannot be used
    ├── ParameterError    a requested value makes no sense
    ├── RecipeError       the recipe cannot be used as written
    ├── CatalogueError    a table of hardware or material is wrong, or has no such row
    ├── GeometryError     a step cannot give a solid
    ├── ExportError       the files cannot be written
    └── Cancelled         somebody requested a stop

Errors stop; what merely deserves a look is a `Finding`. Every message is one sentence that says what was
requested, what was found and what to try.
"""

from typing import Final

from holdwright.printable import printable

OWN_FAULT: Final = 70
"""Exit code of a fault of the program (EX_SOFTWARE of sysexits)."""

LONGEST_SENTENCE = 500
"""Most letters of an error's sentence; of a longer one, which quotes a file at length, the middle goes."""


def shortened(sentence: str) -> str:
    """Give a sentence of at most `LONGEST_SENTENCE` letters, its beginning and its advice."""
    if len(sentence) <= LONGEST_SENTENCE:
        return sentence
    return f"{sentence[: LONGEST_SENTENCE - 165]} ... {sentence[-160:]}"


class HoldwrightError(Exception):
    """Base of every error Holdwright raises on purpose."""

    exit_code = 2

    def __init__(self, sentence: str = "") -> None:
        super().__init__(shortened(printable(sentence)))


class InputError(HoldwrightError):
    """The sculpt's file cannot be read, or holds nothing a hold can be made of."""

    exit_code = 3


class ParameterError(HoldwrightError):
    """A parameter has a value that makes no sense, by itself or beside the others."""


class CatalogueError(HoldwrightError):
    """A catalogue table is wrong, or has no row of the requested name."""


class ExportError(HoldwrightError):
    """The finished files cannot be written where requested."""


class GeometryError(HoldwrightError):
    """A step cannot give a solid: it would be empty, open or of no volume."""

    exit_code = 4


class Cancelled(HoldwrightError):  # noqa: N818  nothing went wrong
    """The work was stopped by request."""

    exit_code = 130


class RecipeError(HoldwrightError):
    """The recipe cannot be used as written.

    Parameters
    ----------
    problems
        Pairs of (path within the recipe, what is wrong there); all that were found, not only the first.
    """

    def __init__(self, problems: list[tuple[str, str]] | str) -> None:
        self.problems = [("", problems)] if isinstance(problems, str) else list(problems)
        texts = [shortened(f"{path}: {what}" if path else what) for path, what in self.problems]
        fitting = next((n for n in range(1, len(texts)) if len("; ".join(texts[: n + 1])) > 470), len(texts))
        more = f"; and {len(texts) - fitting:,} more" if fitting < len(texts) else ""
        super().__init__("; ".join(texts[:fitting]) + more)


def sentence_of(error: BaseException) -> tuple[str, int]:
    """Give an error as one sentence, and its exit code."""
    if isinstance(error, KeyboardInterrupt):
        return "Interrupted; files that were not finished were not written.", Cancelled.exit_code
    if isinstance(error, HoldwrightError):
        return str(error), error.exit_code
    if isinstance(error, MemoryError):
        text = "There is not enough memory for this sculpt; close other programs, or simplify the sculpt."
        return text, GeometryError.exit_code
    if isinstance(error, OSError):
        return (
            f"The system reports: {printable(str(error))}; check the path and its permissions.",
            HoldwrightError.exit_code,
        )
    return (
        f"This is a fault of the program, not of your files ({type(error).__name__}: {error}); please report "
        "it, with what HOLDWRIGHT_DEBUG=1 prints.",
        OWN_FAULT,
    )
