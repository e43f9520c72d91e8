"""A bar for long work in the terminal; a file or a pipe gets a line every so often instead."""

from django.core.management.base import OutputWrapper

CELLS = 30
LINE_EVERY = 500


class Bar:
    """Call step(done, total) as the work goes on."""

    def __init__(self, out: OutputWrapper) -> None:
        self.out = out

    def step(self, done: int, total: int) -> None:
        if self.out.isatty():
            full = CELLS * done // max(total, 1)
            end = "\n" if done >= total else ""
            self.out.write(f"\r[{'#' * full}{'.' * (CELLS - full)}] {done} of {total}", ending=end)
        elif done % LINE_EVERY == 0:
            self.out.write(f"{done} of {total}")
