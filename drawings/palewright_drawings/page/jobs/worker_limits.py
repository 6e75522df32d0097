"""What holds a worker process in: memory, a folder of its own, and an end with the server."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import shutil
import signal
import tempfile
import threading
from multiprocessing import util

MOST_MEMORY = 3 * 1024**3
"""Memory that one worker may fill, bytes: writing a packet takes under half of one GiB."""

MOST_ADDRESSES = 8 * 1024**3
"""Address space of one worker, bytes: libraries map files that take hardly any memory."""


def hold_in(niceness: int, folder: str) -> None:
    """Bound this process; what it writes for a while goes into a folder that the server removes.

    Args:
        niceness: how much processor time it leaves to others, 0 to 19.
        folder: the only place for files of passing use.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends us
    if hasattr(os, "nice"):
        os.nice(niceness)
    tempfile.tempdir = folder
    os.environ["TMPDIR"] = folder
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_DATA, (MOST_MEMORY, MOST_MEMORY))
        resource.setrlimit(resource.RLIMIT_AS, (MOST_ADDRESSES, MOST_ADDRESSES))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    threading.Thread(target=end_with_the_server, args=(folder,), daemon=True).start()


def end_with_the_server(folder: str) -> None:
    """Wait for the server to be gone, killed perhaps; then end in the midst of whatever is done.

    Args:
        folder: the worker's own, removed.
    """
    server = multiprocessing.parent_process()
    if server is not None:
        server.join()
    for left in (folder, util.get_temp_dir()):  # the second holds the forking process's socket
        shutil.rmtree(left, ignore_errors=True)
    os._exit(1)
