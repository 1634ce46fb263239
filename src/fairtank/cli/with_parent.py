"""A process that ends when the one that started it is gone, however that went."""

import os
import signal
import threading


def end_with_parent() -> None:
    """End this process, as SIGTERM does, when its standard input closes: the other end is held by whoever started it, and by nobody else.

    To look whether the parent is still there would miss one that died before the look.
    """
    def watch() -> None:
        while os.read(0, 4096):
            pass
        os.kill(os.getpid(), signal.SIGTERM)

    threading.Thread(target=watch, name="end with parent", daemon=True).start()
