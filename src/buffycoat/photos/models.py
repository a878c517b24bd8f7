"""Photos of donors: beside the journal, so that one can be replaced and erased."""

from django.db import models


class DonorPhoto(models.Model):
    """`jpeg` was made here, from what somebody sent; `digest` changes with it."""

    donor = models.CharField(max_length=14, primary_key=True)
    jpeg = models.BinaryField()
    digest = models.CharField(max_length=64)

    class Meta:
        verbose_name_plural = "photos of donors"

    def __str__(self) -> str:
        return self.donor
