"""What steps are called."""

from holdwright.operations import OPERATIONS


def title_of(operation: str) -> str:
    """Give an operation's title; its name in plain letters where this program does not know it."""
    known = next((each.title for each in OPERATIONS if each.name == operation), None)
    return known or operation.replace("_", " ").capitalize()
