"""Worker processes, their queues and their tasks.

``queues`` say who waits, ``workers`` are one process each; a crash costs its worker. The forking
process must start no thread: preload imports there, never run a design. Long jobs are rows of
``LONG_TASKS``, ``(request, Progress) -> Reply``. With ``"tell": true`` the answer is lines
``{"doing", "done", "total"}``, then ``{"kind", "bytes"}`` and the bytes, or
``{"error", "status"}``. A ``{"part"}`` line is what is found so far: a search that is ended keeps
it. The shop's figures are read once, at the server's start; the settled price has a queue.
"""
