"""People outside the book: owners' contacts can be erased, so they never enter the journal."""

from django.db import models


class OwnerContact(models.Model):
    donor = models.CharField(max_length=14, primary_key=True)
    name = models.CharField(max_length=100, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)

    def __str__(self) -> str:
        return self.name
