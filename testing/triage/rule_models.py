"""Editions of the rules as they were published, who checked them, and how new ones come about."""

from django.conf import settings
from django.db import models

from jobs.append_only import AppendOnly


class RuleSetEdition(AppendOnly):
    """One edition of the rules of one jurisdiction, or of the national code, as it was published.

    An edition never changes: a new text is a new edition with its own key. It holds until the
    next edition of the same jurisdiction takes effect.
    """

    key = models.CharField(max_length=40, unique=True)
    jurisdiction = models.CharField(max_length=8, db_index=True)
    title = models.CharField(max_length=200)
    effective_from = models.DateField(null=True)
    effective_to = models.DateField(null=True)
    data = models.JSONField()
    loaded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["jurisdiction", "pk"]
        default_permissions = ()
        permissions = [
            ("view_triage", "Can read triage decisions"),
            ("sign_triage", "Can sign triage decisions"),
            ("keep_rules", "Can draft and publish editions of the rules"),
        ]

    def __str__(self):
        return self.title

    @property
    def check_mark(self):
        """The latest mark of a signatory, or None while nobody has checked this edition."""
        return max(self.checks.all(), key=lambda check: check.pk, default=None)

    @property
    def checked_by(self):
        mark = self.check_mark
        return mark.signatory if mark else self.data.get("checked_by")

    @property
    def checked_on(self):
        mark = self.check_mark
        return mark.on.isoformat() if mark else self.data.get("checked_on")

    def marked_data(self):
        """The text of the edition with the mark of whoever checked it."""
        return {**self.data, "checked_by": self.checked_by, "checked_on": self.checked_on}


class EditionCheck(AppendOnly):
    """A signatory held an edition against the current text. The latest mark of an edition counts."""

    edition = models.ForeignKey(RuleSetEdition, on_delete=models.PROTECT, related_name="checks")
    on = models.DateField("checked on")
    remark = models.CharField("held against", max_length=300)
    signatory = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        default_permissions = ()

    def __str__(self):
        return f"{self.edition_id} checked by {self.signatory}"


class DraftEdition(models.Model):
    """A coming edition while it is worked on: a copy of one in use, or a file that was brought in."""

    class State(models.TextChoices):
        OPEN = "open", "draft"
        PUBLISHED = "published", "published"
        DISCARDED = "discarded", "discarded"

    jurisdiction = models.CharField(max_length=8)
    data = models.JSONField()
    based_on = models.ForeignKey(RuleSetEdition, null=True, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=9, choices=State.choices, default=State.OPEN)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    started_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()

    def __str__(self):
        return f"Draft {self.pk}: {self.title}"

    @property
    def title(self):
        return str(self.data.get("title") or "without a title")

    @property
    def open(self):
        return self.state == self.State.OPEN


class RuleEdit(AppendOnly):
    """One change to a draft, with what stood there before: the trail of how an edition came about."""

    draft = models.ForeignKey(DraftEdition, on_delete=models.PROTECT, related_name="edits")
    what = models.CharField(max_length=200)
    path = models.CharField(max_length=120, blank=True)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]
        default_permissions = ()

    def __str__(self):
        return self.what
