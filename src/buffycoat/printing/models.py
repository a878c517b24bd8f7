"""What was given to printers. Ordinary rows: that a label is on its bag is proved by the scan-back in the journal."""

from django.db import models

from buffycoat.benches.models import Bench
from buffycoat.printing.printer import NOT_SENT, SENT, UNKNOWN

OUTCOMES = ((SENT, "sent"), (NOT_SENT, "not sent"), (UNKNOWN, "not known"))


class PrintJob(models.Model):
    """`document` names what is printed; the document is made anew from the registers at each attempt."""

    command_id = models.CharField(max_length=32, unique=True)  # a form that is sent twice prints once
    document = models.CharField(max_length=60, db_index=True)
    title = models.CharField(max_length=120)
    paper = models.BooleanField(default=False)  # for the bench's paper printer, not its label printer
    bench = models.ForeignKey(Bench, models.SET_NULL, null=True)
    by = models.CharField(max_length=150)
    at = models.DateTimeField()
    cancelled_by = models.CharField(max_length=150, blank=True)
    cancelled_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return self.title

    @property
    def last(self) -> "Attempt | None":
        return max(self.attempts.all(), key=lambda each: each.number, default=None)


class Attempt(models.Model):
    """Written before the printer is asked: if this program is ended meanwhile, nobody knows what came out."""

    job = models.ForeignKey(PrintJob, models.CASCADE, related_name="attempts")
    number = models.PositiveSmallIntegerField()
    at = models.DateTimeField()
    printer = models.CharField(max_length=200)
    outcome = models.CharField(max_length=10, choices=OUTCOMES, default=UNKNOWN)
    answer = models.CharField(max_length=400, default="No answer yet.")

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="one_attempt_of_a_number")]

    def __str__(self) -> str:
        return f"{self.job}: {self.outcome}"
