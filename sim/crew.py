"""Work on several things side by side, each in a process; whatever goes wrong comes back as itself.

A process that is killed, as where memory runs out, takes the whole pool with it: what it left is
done once more, each in a process of its own.
"""

from __future__ import annotations

import ctypes
import functools
import gc
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import active_children, get_context
from typing import Literal, TypeVar

from sim.errors import EngineError, SimError

Item = TypeVar("Item")
Made = TypeVar("Made")
Start = Literal["fork", "spawn"]
DIE_WITH_PARENT = 1  # of prctl(2)
# Parameters of mallopt(3): freed memory stays for the next array, which would else be asked of the
# system again, page by page.
TRIM_THRESHOLD, TOP_PAD, MMAP_THRESHOLD = (-1, 1 << 30), (-2, 1 << 26), (-3, 1 << 25)


def each(
    work: Callable[[Item], Made], items: Sequence[Item], start: Start, *, most: int | None = None
) -> Iterator[Made | SimError]:
    """Yield what comes of each thing, or the error that it ended in.

    Args:
        work: What is done with one thing; it can be pickled.
        items: The things.
        start: How a process begins: "fork" at once, with all that is loaded, where the system can
            (else the work is done in this process); "spawn" afresh, one process a thing.
        most: Most processes at a time [-]; default: one a processor.

    Yields:
        In the order of the things.
    """
    crew = min(len(items), most or os.cpu_count() or 1)
    made = functools.partial(_made, work)
    if start == "fork" and (crew <= 1 or sys.platform != "linux"):
        yield from map(made, items)
        return
    others = set(active_children())
    with _pool(crew, start) as pool:
        try:
            orders = [_order(pool, made, item) for item in items]
            for item, order in zip(items, orders, strict=True):
                try:
                    yield order.result()
                except BrokenProcessPool:
                    yield _again(made, item, start)
        except (KeyboardInterrupt, GeneratorExit):  # nobody waits for the rest
            for process in set(active_children()) - others:
                process.kill()
            raise


def _order(
    pool: ProcessPoolExecutor, made: Callable[[Item], Made | SimError], item: Item
) -> Future[Made | SimError]:
    """Hand one thing in; to a pool that broke meanwhile, an order that ends in just that."""
    try:
        return pool.submit(made, item)
    except BrokenProcessPool as broken:
        order: Future[Made | SimError] = Future()
        order.set_exception(broken)
        return order


def _made(work: Callable[[Item], Made], item: Item) -> Made | SimError:
    """Return what comes of one thing, an error too."""
    try:
        return work(item)
    except SimError as error:
        return error


def _again(made: Callable[[Item], Made | SimError], item: Item, start: Start) -> Made | SimError:
    """Return what comes of one thing whose process was killed, on a second try."""
    try:
        with _pool(1, start) as pool:
            return pool.submit(made, item).result()
    except BrokenProcessPool:
        return EngineError("its process was ended twice from outside, as where memory runs out")


def _pool(crew: int, start: Start) -> ProcessPoolExecutor:
    """Return a pool of processes."""
    if start == "spawn":
        return ProcessPoolExecutor(crew, get_context("spawn"), max_tasks_per_child=1)
    return ProcessPoolExecutor(crew, get_context("fork"), initializer=_begin)


def _begin() -> None:
    """Leave interrupts to the parent and end with it, whatever ends it; keep memory."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.freeze()  # what the parent made stays: to look there for garbage would copy its pages
    system = ctypes.CDLL(None)
    system.prctl(DIE_WITH_PARENT, signal.SIGKILL)
    if hasattr(system, "mallopt"):
        for parameter, size in (TRIM_THRESHOLD, TOP_PAD, MMAP_THRESHOLD):
            system.mallopt(parameter, size)
