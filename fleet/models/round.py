"""One background pass over the book, as a report row, and the chunks of meshes it is shared out in while it runs."""

from datetime import timedelta

from django.db import models
from django.db.models import Q


class RoundState(models.TextChoices):
    RUNNING = "running", "Running"
    DONE = "done", "Done"
    BROKEN = "broken", "Broken off"


class Round(models.Model):
    """When it began, what it did, what went wrong at which mesh. One runs at a time, and one begins for an hour.

    Every mesh is judged as of `started_at`, whenever and by whichever worker. Counts are those of the whole round
    once it has ended; while it runs they stand in its chunks.
    """

    started_at = models.DateTimeField(help_text="The moment as of which it judges.")
    finished_at = models.DateTimeField(null=True, blank=True)
    state = models.CharField(max_length=8, choices=RoundState, default=RoundState.RUNNING)
    slot = models.DateTimeField(null=True, blank=True, unique=True, help_text="The hour it was due for.")
    asked_by = models.CharField(max_length=120, blank=True)
    total = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    marked = models.PositiveIntegerField(default=0)
    erased = models.PositiveIntegerField(default=0)
    errors = models.JSONField(default=list, blank=True)
    may_erase = models.BooleanField(default=False)
    notice = models.CharField(max_length=400, blank=True, help_text="Why it may not erase.")
    doubted_time = models.DurationField(
        default=timedelta(0), help_text="Time before it that may not have passed; no grace time runs in it."
    )
    last_sign_at = models.DateTimeField(help_text="When its chunks were last handed out.")

    class Meta:
        ordering = ["-started_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["state"], condition=Q(state=RoundState.RUNNING), name="one_round_at_a_time"
            ),
        ]

    def __str__(self) -> str:
        return f"Round of {self.started_at:%Y-%m-%d %H:%M}"


class RoundChunk(models.Model):
    """Some meshes of a running round: those in care whose keys lie over `after_mesh`, up to `last_mesh`.

    `after_mesh` moves in the transaction of each mesh, so that no mesh is done twice. A worker holds a chunk while
    it gives signs; each claim has its own number, and whoever comes with an older one has lost the chunk.
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="chunks")
    number = models.PositiveIntegerField()
    after_mesh = models.PositiveBigIntegerField()
    last_mesh = models.PositiveBigIntegerField()
    size = models.PositiveIntegerField(help_text="Meshes in it when the round began.")
    done = models.PositiveIntegerField(default=0)
    marked = models.PositiveIntegerField(default=0)
    erased = models.PositiveIntegerField(default=0)
    errors = models.JSONField(default=list, blank=True)
    token = models.CharField(max_length=80, blank=True, help_text="Who holds it; empty: nobody.")
    holder = models.CharField(max_length=120, blank=True, help_text="The same, for people.")
    claim = models.PositiveIntegerField(default=0)
    tries = models.PositiveSmallIntegerField(
        default=0, help_text="Claims that have come to the mesh it is at."
    )
    sign_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["round", "number"]
        constraints = [models.UniqueConstraint(fields=["round", "number"], name="chunk_once_a_round")]

    def __str__(self) -> str:
        return f"Chunk {self.number} of {self.round_id}"
