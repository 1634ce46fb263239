"""`python -m fairtank.cli` is the fairtank command."""

import signal

from fairtank.cli.main import main

if __name__ == "__main__":
    main()
elif __name__ == "__mp_main__":  # worker processes import this file under another name; Ctrl-C is the command's own business
    signal.signal(signal.SIGINT, signal.SIG_IGN)
