"""What the world to walk through holds between workshop and owner, and which address takes what."""

from datetime import date

from django.core.files.base import ContentFile

from jobs import outbox
from jobs.models import Authority, PriceBookEdition, User
from tests.owner_side import photo, sent_estimate, workshop


def things(job):
    """One thing of each kind, at an open job."""
    desk, engineer = (User.objects.get(username=name) for name in ("desk", "engineer"))
    workshop(logo=ContentFile(photo(kind="PNG").read(), name="logo.png"), logo_type="image/png")
    version = sent_estimate(job, desk, because="Another morning is needed.").version
    question = job.owner_questions.create(text="May the bull bar stay on?")
    authority = Authority.objects.create(
        user=engineer, jurisdiction="NSW", number="DEMO-0042", added_by=desk,
        valid_from=date(2020, 1, 1), valid_to=date(2099, 1, 1),
    )  # fmt: skip
    message = outbox.post(job=job, to=job.owner.email, subject="A word", body="To read.", kind="link")
    return {
        "owner": {"token": job.owner_token},
        "owner version": {"token": job.owner_token, "version": version},
        "link": {"number": job.number, "pk": job.owner_links.get().pk},
        "question": {"number": job.number, "pk": question.pk},
        "version": {"number": job.number, "version": version},
        "message": {"number": job.number, "pk": message.pk},
        "authority": {"pk": authority.pk},
        "price book": {"pk": PriceBookEdition.objects.first().pk},
        "event": {"event": "estimate"},
        "figure": {"key": "turnaround"},
    }


TAKES = {
    "none": [
        *(
            "jobs:logo",
            "jobs:workshop",
            "jobs:old_files",
            "jobs:signatories",
            "jobs:price_books",
            "jobs:new_price_book",
        ),
        *("jobs:new_price_book", "jobs:wordings", "jobs:overview"),
    ],
    "owner": [
        *("jobs:owner_code", "jobs:owner_send_code", "jobs:owner_mail", "jobs:owner_estimate", "jobs:owner_files"),
        *("jobs:owner_mornings", "jobs:owner_ask", "jobs:owner_leave"),
    ],
    "owner version": ["jobs:owner_estimate_pdf"],
    "link": ["jobs:withdraw_link"],
    "question": ["jobs:answer_question"],
    "version": ["jobs:estimate_version", "jobs:estimate_pdf", "jobs:send_estimate", "jobs:heard_decision"],
    "message": ["jobs:job_message", "jobs:send_again", "jobs:came_back"],
    "authority": ["jobs:end_authority"],
    "price book": ["jobs:price_book"],
    "event": ["jobs:edit_wording"],
    "figure": ["jobs:overview_csv"],
    "old file": ["jobs:old_file", "jobs:erase_old_file"],
}
