"""`linescope` and `python -m linescope`."""

import signal
import sys


def main() -> None:
    """Run one command as a process and leave with its exit status."""
    # Until the command takes charge of its signals nothing is written: an interrupt just ends the process, in no words.
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    from linescope.cli import main as run

    sys.exit(run())


if __name__ == "__main__":
    main()
