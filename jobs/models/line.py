from django.conf import settings
from django.db import models
from django.utils import timezone

from jobs import steps

from .job import Job

CLOSED = 9
RANKS = {who: rank for rank, who in enumerate(steps.ACTORS, start=1)}
WHO = {rank: who for who, rank in RANKS.items()}


class BookLine(models.Model):
    """What the job book says of a job: who must act next, what, by when; and what it is found by.

    Worked out by jobs/lines.py from the file of the job, kept so that a book of any length opens at once.
    """

    job = models.OneToOneField(Job, primary_key=True, on_delete=models.CASCADE, related_name="line")
    actor = models.PositiveSmallIntegerField(
        default=RANKS[steps.DESK], choices=[*((rank, who) for rank, who in WHO.items()), (CLOSED, "nobody")]
    )
    act = models.CharField(max_length=240, blank=True)
    due_at = models.DateTimeField(default=timezone.now)
    because = models.CharField(max_length=160, blank=True)
    # From then on the line is worked out anew before it is shown; empty means not until the job is touched.
    look_again_at = models.DateTimeField(null=True, blank=True, default=timezone.now)
    search = models.TextField(blank=True)

    class Meta:
        default_permissions = ()
        indexes = [
            models.Index(fields=["actor", "due_at", "job"], name="book_by_actor_and_due"),
            models.Index(fields=["look_again_at"], name="book_look_again"),
        ]

    def __str__(self):
        return f"{self.job_id}: {self.who}"

    @property
    def who(self):
        return WHO.get(self.actor, "")

    @property
    def late(self):
        return self.actor != CLOSED and self.due_at < timezone.now()


class Waiting(models.Model):
    """Somebody said whom the job waits for and until when: only people know that of a third party."""

    job = models.OneToOneField(Job, primary_key=True, on_delete=models.CASCADE, related_name="waiting")
    who = models.CharField(max_length=11, choices=[(who, who) for who in steps.ACTORS])
    what = models.CharField(max_length=160)
    until = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return f"{self.job_id} waits for {self.who}: {self.what}"


class BookView(models.Model):
    """A way of looking at the job book that somebody keeps for themselves."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="book_views")
    name = models.CharField(max_length=40)
    query = models.CharField(max_length=300)

    class Meta:
        ordering = ["name"]
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["user", "name"], name="one_book_view_per_name")]

    def __str__(self):
        return self.name
