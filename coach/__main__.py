"""Start the coach: the command ``coach``, and ``python -m coach``.

Until its own modules are read, an interruption ends it at once and without a word.
"""

import signal

if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
    signal.signal(signal.SIGINT, signal.SIG_DFL)

from coach.cli import main


def start() -> int:
    """Run the command that was typed."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_DFL:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    return main()


if __name__ == "__main__":
    raise SystemExit(start())
