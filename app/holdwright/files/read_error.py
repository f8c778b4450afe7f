"""Why a file cannot be used, said where it is found; `reading` adds the file's name and tells the user."""


class Unreadable(Exception):  # noqa: N818 - it reads as what it says: the file is unreadable
    """The file cannot be used.

    Parameters
    ----------
    found
        What was found, as a clause with the line or element where it helps: "line 12 names vertex 99 of 8".
    advice
        What to try, as a clause in the imperative.
    """

    def __init__(self, found: str, advice: str = "export the sculpt again") -> None:
        super().__init__(found)
        self.found = found
        self.advice = advice


def excerpt(text: bytes, longest: int = 40) -> str:
    """Give a piece of the file in quotation marks, short and printable, for a message."""
    shown = text[: longest + 1].decode("utf-8", "replace")
    shown = "".join(letter if letter.isprintable() else "?" for letter in shown)
    return f'"{shown[:longest]}…"' if len(text) > longest else f'"{shown}"'


def left_unread(amount: str, number: int, what: str) -> str:
    """Say that a file goes on after what its header counts."""
    were = "was" if number == 1 else "were"
    return (
        f"{amount} after all that the header counts {were} left unread: the file may hold more {what} "
        "than were read."
    )


def counted(count: int, noun: str) -> str:
    """Say how many there are: "1 face", "3 faces", "2 vertices"."""
    plural = noun[:-2] + "ices" if noun.endswith("ex") else noun + "s"
    return f"{count:,} {noun if count == 1 else plural}"


def left_out(count: int, noun: str, why: str) -> str:
    """Say in a note that so many things, which are as `why` says, were left out."""
    return f"{counted(count, noun)} {why} {'was' if count == 1 else 'were'} left out."
