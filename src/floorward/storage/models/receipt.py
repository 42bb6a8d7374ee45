"""Receipts of what phones kept while the server was away and sent later."""

from django.db import models


class Receipt(models.Model):
    """One answer that a phone kept under `key` and that was taken; sent again, it is not taken twice."""

    key = models.CharField(max_length=40, unique=True)
    leads_to = models.CharField(max_length=300)
    at = models.DateTimeField()
