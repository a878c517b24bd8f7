"""A bench: a tablet or computer with what stands around it. Set up once; ordinary rows, no part of the journal."""

import hashlib
import secrets

from django.db import models

NO_SCALE, KEYBOARD, PROCESS = "none", "keyboard", "process"
SCALES = ((NO_SCALE, "No scale"), (KEYBOARD, "Types like a keyboard"), (PROCESS, "Read by the scale program"))


class Bench(models.Model):
    name = models.CharField(max_length=40, unique=True)
    px_per_100_mm = models.PositiveIntegerField(null=True)  # of this screen; None: never measured
    scale = models.CharField(max_length=10, choices=SCALES, default=NO_SCALE)
    key_hash = models.CharField(max_length=64, null=True, unique=True)  # noqa: DJ001 - None: no key was made
    scanner = models.CharField(max_length=200, blank=True)  # what the test scan told
    scale_equipment = models.CharField(max_length=14, blank=True)  # as registered: its checks, and out of use
    sealer_equipment = models.CharField(max_length=14, blank=True)
    printer = models.CharField(max_length=80, blank=True)
    printer_address = models.CharField(max_length=200, blank=True)  # empty: labels open in the browser
    paper_printer_address = models.CharField(max_length=200, blank=True)
    sounds = models.BooleanField(default=True)
    tone = models.BooleanField(default=True)
    volume_percent = models.PositiveSmallIntegerField(default=60)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def new_key(self) -> str:
        """A key for the scale program, shown once. It is long and random, so a plain hash of it is enough."""
        key = secrets.token_urlsafe(32)
        self.key_hash = hash_of(key)
        self.save(update_fields=["key_hash"])
        return key


def hash_of(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()
