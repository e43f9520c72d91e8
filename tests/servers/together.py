"""Acts that begin at the same moment, each on a connection of its own."""

import threading
from collections.abc import Callable

from django.db import connection

PATIENCE_SECONDS = 60


def at_once(*acts: Callable[[], object]) -> list[object]:
    """What each act gave or raised, all begun at the same moment."""
    gate, outcomes = threading.Barrier(len(acts)), [None] * len(acts)

    def run(place: int, act: Callable[[], object]) -> None:
        gate.wait(PATIENCE_SECONDS)
        try:
            outcomes[place] = act()
        except Exception as error:  # judged by the test
            outcomes[place] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_SECONDS)
    return outcomes


def together(*acts: Callable[[], object]) -> list[BaseException]:
    """Run all at once, each on a connection of its own; what each raised."""
    raised: list[BaseException] = []
    begin = threading.Barrier(len(acts))

    def run(act: Callable[[], object]) -> None:
        begin.wait()
        try:
            act()
        except BaseException as error:
            raised.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(act,)) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return raised
