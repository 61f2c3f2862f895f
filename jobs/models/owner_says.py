from django.db import models

from vehicles.models import Document

from .job import Job
from .people import Owner, User


class OwnerQuestion(models.Model):
    """What an owner asked on their page, and what the workshop answered."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="owner_questions")
    text = models.TextField(max_length=2000)
    asked_at = models.DateTimeField(auto_now_add=True)
    answer = models.TextField(max_length=4000, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        default_permissions = ()
        constraints = [
            models.CheckConstraint(
                name="answer_says_when",
                condition=models.Q(answer="", answered_at=None)
                | (~models.Q(answer="") & models.Q(answered_at__isnull=False)),
            )
        ]

    def __str__(self):
        return self.text[:60]


class MorningAnswer(models.Model):
    """Whether a proposed morning suits the owner. The latest word on a day counts."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="morning_answers")
    day = models.DateField()
    suits = models.BooleanField()
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["day"]
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["job", "day"], name="one_answer_per_morning")]

    def __str__(self):
        return f"{self.day}: {'suits' if self.suits else 'does not suit'}"


class OfferedMorning(models.Model):
    """A morning that the owner is asked about before anything is booked."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="offered_mornings")
    day = models.DateField()
    text = models.CharField(max_length=200)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["day"]
        default_permissions = ()
        constraints = [models.UniqueConstraint(fields=["job", "day"], name="one_offer_per_morning")]

    def __str__(self):
        return self.text


class OwnerUpload(models.Model):
    """Marks a photo or paper as sent by the owner."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="owner_uploads")
    document = models.OneToOneField(Document, on_delete=models.CASCADE, related_name="sent_by_owner")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return str(self.document)


class OwnerWord(models.Model):
    """One thing an owner said or sent on their page, and who at the workshop took note of it."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="owner_words")
    text = models.CharField(max_length=200)
    at = models.DateTimeField(auto_now_add=True)
    noted_at = models.DateTimeField(null=True, blank=True)
    noted_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return self.text


class NoMail(models.Model):
    """This owner wants only the messages that the job cannot do without."""

    owner = models.OneToOneField(Owner, on_delete=models.CASCADE, related_name="no_mail")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        default_permissions = ()

    def __str__(self):
        return f"No news for {self.owner}"
