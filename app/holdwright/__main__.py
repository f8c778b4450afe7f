"""Makes ``python -m holdwright`` the program. Kept bare: child processes import it again."""

if __name__ == "__main__":
    import sys

    from holdwright.entry import begin

    sys.exit(begin())
