"""Threads for work that nobody must wait for when the player leaves."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


class DaemonThreads(ThreadPoolExecutor):
    """Does each job on a thread of its own, so many at a time.

    The usual pool keeps the program from ending until all jobs are done.
    """

    def __init__(self, count: int) -> None:
        super().__init__(count)
        self._places = threading.BoundedSemaphore(count)
        self._futures: list[Future[Any]] = []

    def submit(
        self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs
    ) -> Future[T]:
        """Do a job as soon as there is a place."""
        future: Future[T] = Future()
        self._futures = [job for job in self._futures if not job.done()]
        self._futures.append(future)

        def work() -> None:
            with self._places:
                if not future.set_running_or_notify_cancel():
                    return
                try:
                    future.set_result(fn(*args, **kwargs))
                except BaseException as error:  # noqa: BLE001  # whoever asked gets it
                    future.set_exception(error)

        threading.Thread(target=work, name="work", daemon=True).start()
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:  # noqa: ARG002
        """Begin no job any more, if so wished; wait for none."""
        for future in self._futures if cancel_futures else ():
            future.cancel()
