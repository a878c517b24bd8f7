"""The book itself. Entries are only ever added, by `record`; the database refuses anything else."""

from django.db import models


class Entry(models.Model):
    number = models.BigIntegerField(primary_key=True)
    stream = models.CharField(max_length=64)
    version = models.IntegerField()
    kind = models.CharField(max_length=64)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    by = models.CharField(max_length=150)
    command_id = models.CharField(max_length=64, db_index=True)
    line = models.TextField()
    hash = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["stream", "version"], name="one_entry_per_version")]

    def __str__(self) -> str:
        return f"{self.number} {self.kind}"


class Head(models.Model):
    """The last number and hash. Its one row is the lock that makes numbers gapless."""

    id = models.IntegerField(primary_key=True, default=1)
    number = models.BigIntegerField(default=0)
    hash = models.CharField(max_length=64)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="only_one_head")]

    def __str__(self) -> str:
        return f"{self.number} {self.hash}"
