"""Which kind of work sheet is asked for; loads nothing heavy."""

from dataclasses import dataclass
from typing import Final, Literal, Self

from holdwright.errors import ParameterError

Paper = Literal["a4", "letter"]
Ending = Literal["pdf", "html"]

PAPERS: Final[dict[Paper, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height, mm."""

ENDINGS: Final[tuple[Ending, ...]] = ("pdf", "html")


@dataclass(frozen=True)
class SheetChoice:
    """Paper and kind of file."""

    paper: Paper = "a4"
    ending: Ending = "pdf"

    @classmethod
    def of(cls, text: str) -> Self:
        """Read a choice such as "letter,html"; what is not named is as usual.

        Raises
        ------
        ParameterError
            When a word is not known, or two exclude each other.
        """
        words = [word.strip().lower() for word in text.split(",") if word.strip()]
        papers: list[Paper] = [each for each in PAPERS if each in words]
        endings: list[Ending] = [each for each in ENDINGS if each in words]
        if len(papers) > 1 or len(endings) > 1 or len(papers) + len(endings) < len(words):
            raise ParameterError(
                f'A work sheet as "{text}" was asked for; enter a4 or letter, pdf or html, or one of each '
                "with a comma, as in --sheet=letter,html (a sculpt stands before --sheet)."
            )
        return cls(*papers or ("a4",), *endings or ("pdf",))

    @classmethod
    def stored(cls, text: object) -> Self | None:
        """Read what `str` wrote; None of anything else."""
        try:
            return cls.of(str(text)) if text else None
        except ParameterError:
            return None

    def __str__(self) -> str:
        """Write it as `of` reads it."""
        return f"{self.paper},{self.ending}"

    def name(self, hold: str) -> str:
        """Give the name of a hold's sheet."""
        return f"{hold}.sheet.{self.ending}"
