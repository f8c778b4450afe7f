"""Makes ``python -m holdwright`` the command line. Kept bare: child processes import it again."""

if __name__ == "__main__":
    import sys

    from holdwright.cli.main import main

    sys.exit(main())
