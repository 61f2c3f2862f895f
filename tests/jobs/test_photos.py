"""Photos and papers: told by their bytes, served only to those who may see the job."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from tests.factories import JobFactory

pytestmark = pytest.mark.django_db


def picture(name="lift.png", size=(8, 6), form="PNG"):
    data = io.BytesIO()
    Image.new("RGB", size, "white").save(data, form)
    return SimpleUploadedFile(name, data.getvalue())


def add(as_, desk, job, upload, **changes):
    data = {"kind": "photo", "caption": "Front spring", "upload": upload} | changes
    return as_(desk).post(f"/jobs/{job.number}/photos/", data, follow=True)


def test_a_photo_is_stored_under_a_random_name_and_served_to_staff(as_, desk, job):
    add(as_, desk, job, picture())
    document = job.vehicle.documents.get()
    assert document.content_type == "image/png"
    assert "lift" not in document.file.name
    response = as_(desk).get(f"/jobs/{job.number}/documents/{document.pk}/")
    assert response["Content-Type"] == "image/png"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert b"".join(response.streaming_content).startswith(b"\x89PNG")


def test_a_paper_is_handed_over_never_shown(as_, desk, job):
    add(as_, desk, job, SimpleUploadedFile("ticket.pdf", b"%PDF-1.7 ..."), kind="paper")
    document = job.vehicle.documents.get()
    response = as_(desk).get(f"/jobs/{job.number}/documents/{document.pk}/")
    assert response["Content-Disposition"].startswith("attachment")
    b"".join(response.streaming_content)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("page.html", b"<script>alert(1)</script>"),
        ("drawing.svg", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"),
        ("photo.jpg", b"not a photo at all"),
        ("half.png", b"\x89PNG\r\n\x1a\n"),
        ("ticket.pdf", b"%PDF-1.7 ..."),
    ],
)
def test_anything_else_is_refused_as_a_photo(as_, desk, job, name, data):
    response = add(as_, desk, job, SimpleUploadedFile(name, data))
    assert "Allowed: JPEG, PNG or WebP." in response.content.decode()
    assert "Front spring" in response.content.decode()
    assert not job.vehicle.documents.exists()


def test_a_picture_with_too_many_pixels_is_refused(as_, desk, job):
    response = add(as_, desk, job, picture(size=(10_000, 7_000)))
    assert "60 million pixels" in response.content.decode()


def test_an_empty_file_is_refused(as_, desk, job):
    assert "empty" in add(as_, desk, job, SimpleUploadedFile("a.png", b"")).content.decode()


def test_a_document_of_another_job_is_not_found(as_, desk, job):
    other = JobFactory()
    add(as_, desk, other, picture())
    pk = other.vehicle.documents.get().pk
    assert as_(desk).get(f"/jobs/{job.number}/documents/{pk}/").status_code == 404
