"""`python -m pourday`."""

from pourday.cli import main

if __name__ == "__main__":
    main()
