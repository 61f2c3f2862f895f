from django.db import models


class Counter(models.Model):
    """Numbers without gaps: the number is taken in the transaction that uses it, or not at all."""

    name = models.CharField(max_length=60, unique=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self):
        return f"{self.name}: {self.last}"

    @classmethod
    def next(cls, name):
        """The next number of that series. Call inside a transaction; the row stays locked until it ends."""
        cls.objects.get_or_create(name=name)
        row = cls.objects.select_for_update().get(name=name)
        row.last += 1
        row.save(update_fields=["last"])
        return row.last
