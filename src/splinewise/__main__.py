"""`python -m splinewise` is the `splinewise` command."""

from splinewise.cli import main

if __name__ == "__main__":
    main()
