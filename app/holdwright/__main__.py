"""Makes ``python -m holdwright`` the program. Kept bare: child processes import it again."""

if __name__ == "__main__":
    import os
    import sys

    # Python has put the current folder first, where a stranger's sculpt may have brought modules along.
    if not sys.flags.safe_path and __file__.rsplit(os.sep, 2)[0] != sys.path[0]:
        del sys.path[0]

    from holdwright.entry import begin

    sys.exit(begin())
