"""Questions of owners, and the workshop's answers."""

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from jobs.audit import record
from jobs.messages import letters
from jobs.models import Job, OwnerQuestion
from jobs.refused import Refused

A_DAY = 10


@transaction.atomic
def ask(*, job, text):
    """Keep the owner's question and tell the desk."""
    Job.objects.select_for_update().get(pk=job.pk)
    if job.owner_questions.filter(asked_at__gt=timezone.now() - timedelta(days=1)).count() >= A_DAY:
        raise Refused(f"{A_DAY} questions in one day are as many as this page takes. Ring the workshop.")
    question = OwnerQuestion.objects.create(job=job, text=text)
    record(job, None, "The owner asked a question", question=text[:500])
    letters.send_to_workshop(job=job, event="desk_question", facts={"question": text})
    return question


@transaction.atomic
def answer(*, question, by, text):
    """Answer, or put an answer right; the trail keeps what stood there before."""
    question = OwnerQuestion.objects.select_for_update().get(pk=question.pk)
    before = question.answer
    question.answer, question.answered_at, question.answered_by = text, timezone.now(), by
    question.save(update_fields=["answer", "answered_at", "answered_by"])
    record(question.job, by, "Question of the owner answered", answer=text[:500], before=before[:500])
    letters.send(job=question.job, event="question_answered", by=by)
    return question
