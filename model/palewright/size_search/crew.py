"""Who does the work of a search: the asks and answers, in an order that no executor changes."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future
from dataclasses import dataclass
from typing import Protocol, TypeVar

Answer = TypeVar("Answer")


class TellSearch(Protocol):
    """Is told what is being done, how many of how many steps are, and what was found last."""

    def __call__(self, what: str, done: int, steps: int, found: str = "") -> None:
        """Take note."""


@dataclass
class Crew:
    """Those who do the work: an executor, or the caller itself."""

    executor: Executor | None

    def answers(
        self, work: Callable[..., Answer], asks: Iterable[tuple[object, ...]], ahead: int
    ) -> Iterator[Answer]:
        """Yield the answers in the order of the asks.

        Each ask is made when all but the last ``ahead`` - 1 before it are answered, whoever works
        and however fast, so that what an ask is made of is always the same.
        """
        tasks: deque[Future[Answer]] = deque()
        try:
            for ask in asks:
                tasks.append(self._begun(work, ask))
                if len(tasks) == ahead:
                    yield tasks.popleft().result()
            while tasks:
                yield tasks.popleft().result()
        except Exception:  # not an interrupt: whoever made a pool of processes ends them then
            for task in tasks:
                task.cancel()
            raise

    def _begun(self, work: Callable[..., Answer], ask: tuple[object, ...]) -> Future[Answer]:
        if self.executor is not None:
            return self.executor.submit(work, *ask)
        task: Future[Answer] = Future()
        task.set_result(work(*ask))
        return task
