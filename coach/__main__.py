"""Start the coach with ``python -m coach``."""

from coach.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
