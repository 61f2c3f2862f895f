"""Photos and papers: told by their bytes, served only to those who may see the job."""

import io
import zlib

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test.client import BOUNDARY, MULTIPART_CONTENT
from PIL import Image

from jobs import services
from jobs.models import Job
from tests.factories import JobFactory
from tests.owner_side import address, let_in

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


# A document that runs a script when it is opened: ISO 32000-1, 12.6.4.16 (JavaScript actions).
ACTIVE_PDF = b"%PDF-1.7\n1 0 obj<</Type/Catalog/OpenAction<</S/JavaScript/JS(app.alert(1))>>>>endobj<script>1</script>"


@pytest.mark.parametrize("content", [b"%PDF-1.7 ...", ACTIVE_PDF])
def test_a_paper_is_handed_over_never_shown_and_nothing_in_it_runs_here(as_, desk, job, content):
    add(as_, desk, job, SimpleUploadedFile("ticket.pdf", content), kind="paper")
    document = job.vehicle.documents.get()
    response = as_(desk).get(f"/jobs/{job.number}/documents/{document.pk}/")
    assert response["Content-Disposition"].startswith("attachment")
    assert response["Content-Type"] == "application/pdf"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Content-Security-Policy"].startswith("sandbox; default-src 'none'")
    assert b"".join(response.streaming_content) == content


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("page.html", b"<script>alert(1)</script>"),
        ("drawing.svg", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"),
        ("photo.jpg", b"not a photo at all"),
        ("page.svg.png", b"<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>"),
        ("page.gif", b"GIF89a<script>alert(1)</script>"),
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


def test_no_file_at_all_is_named(as_, desk, job):
    data = {"kind": "photo", "caption": "Front spring"}
    page = as_(desk).post(f"/jobs/{job.number}/photos/", data).content.decode()
    assert "No file came with it" in page


def test_several_photos_from_camera_and_album_come_in_at_once_under_one_caption(as_, desk, job):
    two = [picture("a.png"), picture("b.jpg", form="JPEG")]
    response = add(as_, desk, job, two, shot=picture("c.webp", form="WEBP"))
    assert "3 files added." in response.content.decode()
    stored = list(job.vehicle.documents.values_list("caption", "content_type"))
    assert stored == [
        ("Front spring (1)", "image/webp"),
        ("Front spring (2)", "image/png"),
        ("Front spring (3)", "image/jpeg"),
    ]


def test_one_bad_file_of_several_keeps_all_out_and_is_named(as_, desk, job):
    response = add(as_, desk, job, [picture(), SimpleUploadedFile("bad.png", b"x")])
    assert "“bad.png” is not a file of an allowed kind" in response.content.decode()
    assert not job.vehicle.documents.exists()


def test_too_many_files_at_once_are_refused(as_, desk, job):
    response = add(as_, desk, job, [picture(f"{n}.png") for n in range(21)])
    assert "21 files; allowed are 20 at once" in response.content.decode()


def stored_bytes(as_, desk, job):
    document = job.vehicle.documents.get()
    return b"".join(as_(desk).get(f"/jobs/{job.number}/documents/{document.pk}/").streaming_content)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_the_place_and_the_camera_are_not_in_what_is_stored(as_, desk, job, form):
    exif = Image.Exif()
    exif[0x010F] = "Camera of the owner"
    exif[0x0112] = 6  # turned by a quarter; CIPA DC-008 names the tags
    exif.get_ifd(0x8825)[2] = (33.0, 51.0, 31.0)  # GPS latitude
    data = io.BytesIO()
    Image.new("RGB", (8, 6), "white").save(data, form, exif=exif)
    with Image.open(io.BytesIO(data.getvalue())) as sent:
        assert sent.getexif().get_ifd(0x8825)
    add(as_, desk, job, SimpleUploadedFile("home.jpg", data.getvalue()))
    kept = stored_bytes(as_, desk, job)
    assert b"Camera of the owner" not in kept
    with Image.open(io.BytesIO(kept)) as image:
        assert dict(image.getexif()) == {}
        assert image.size == (6, 8)  # stands upright without the tag


def test_what_is_hidden_behind_a_picture_is_gone(as_, desk, job):
    upload = picture()
    both = SimpleUploadedFile("both.png", upload.read() + b"<script>alert(1)</script>")
    add(as_, desk, job, both)
    assert b"<script>" not in stored_bytes(as_, desk, job)


def bomb(width, height):
    """A PNG of a few kilobytes that claims, and holds, a great many white pixels."""

    def chunk(kind, data):
        body = kind + data
        return len(data).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big")

    head = width.to_bytes(4, "big") + height.to_bytes(4, "big") + bytes([1, 0, 0, 0, 0])
    rows = zlib.compressobj(9)
    data = b"".join(rows.compress(bytes(1 + width // 8)) for _ in range(height)) + rows.flush()
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


@pytest.mark.parametrize("side", [9_600, 12_000, 30_000])
def test_a_bomb_of_pixels_is_refused_before_it_is_unpacked(as_, desk, job, side):
    data = bomb(side, side)
    assert len(data) < 200_000
    assert "pixels" in add(as_, desk, job, SimpleUploadedFile("b.png", data)).content.decode()
    assert not job.vehicle.documents.exists()


HOSTILE = ("../../etc/passwd.png", "a\u202egnp.exe", "<img src=x onerror=alert(1)>.png", "n" * 400 + ".png")


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_reaches_neither_disk_nor_page(as_, desk, job, name):
    response = add(as_, desk, job, picture(name))
    document = job.vehicle.documents.get()
    assert document.original_name.isprintable()
    assert "/" not in document.original_name
    assert "passwd" not in document.file.name
    assert "<img src=x" not in response.content.decode()


class Long(io.RawIOBase):
    """A request body of any length that takes no memory: a beginning, nothing but zeros, an end."""

    def __init__(self, head, size, tail):
        self.head, self.size, self.tail, self.at = head, size, tail, 0
        self.length = len(head) + size + len(tail)

    def readable(self):
        return True

    def readinto(self, into):
        if self.at < len(self.head):
            piece = self.head[self.at :]
        elif self.at < len(self.head) + self.size:
            piece = bytes(min(len(into), len(self.head) + self.size - self.at))
        else:
            piece = self.tail[self.at - len(self.head) - self.size :]
        count = min(len(into), len(piece))
        into[:count] = piece[:count]
        self.at += count
        return count


def test_half_a_gigabyte_is_refused_and_stored_nowhere(as_, desk, job, settings, tmp_path):
    settings.FILE_UPLOAD_TEMP_DIR = str(tmp_path)
    fields = "".join(
        f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
        for name, value in (("kind", "photo"), ("caption", "Front spring"))
    )
    head = f'{fields}--{BOUNDARY}\r\nContent-Disposition: form-data; name="upload"; filename="big.jpg"\r\n\r\n'
    body = Long(head.encode(), 500_000_000, f"\r\n--{BOUNDARY}--\r\n".encode())
    sent_as = {"CONTENT_TYPE": MULTIPART_CONTENT, "CONTENT_LENGTH": str(body.length), "wsgi.input": body}
    response = as_(desk).generic("POST", f"/jobs/{job.number}/photos/", **sent_as)
    assert "“big.jpg” has 500 MB; allowed are 20 MB" in response.content.decode()
    assert "Front spring" in response.content.decode()
    assert not job.vehicle.documents.exists()
    assert list(tmp_path.iterdir()) == []


def test_a_document_of_another_job_is_not_found(as_, desk, job):
    other = JobFactory()
    add(as_, desk, other, picture())
    pk = other.vehicle.documents.get().pk
    assert as_(desk).get(f"/jobs/{job.number}/documents/{pk}/").status_code == 404


def test_a_wrong_photo_is_set_aside_and_stays_on_the_file(as_, desk, engineer, job):
    add(as_, desk, job, picture(), caption="Right wheel")
    add(as_, desk, job, picture("other.png", size=(9, 6)), caption="Another car")
    wrong = job.vehicle.documents.get(caption="Another car")
    url = f"/jobs/{job.number}/documents/{wrong.pk}/set-aside/"
    assert "This field is required" in as_(desk).post(url, {"reason": ""}).content.decode()
    page = as_(desk).post(url, {"reason": "Shows another vehicle."}, follow=True).content.decode()
    assert "Shows another vehicle." in page
    assert [document.caption for document in job.vehicle.documents.standing()] == ["Right wheel"]
    wrong.refresh_from_db()
    assert wrong.set_aside_by == desk.full_name
    entry = job.audit_entries.get(what="Photo set aside: Another car")
    assert (entry.by, entry.details["why"]) == (desk, "Shows another vehicle.")
    kept = as_(desk).get(f"/jobs/{job.number}/documents/{wrong.pk}/")
    assert b"".join(kept.streaming_content).startswith(b"\x89PNG")
    assert "Another car" not in as_(desk).get(f"/jobs/{job.number}/receipt/").content.decode()
    assert as_(desk).get(url).status_code == 404


def test_the_owner_no_longer_sees_what_was_set_aside(client, desk, job):
    document = job.vehicle.documents.create(
        kind="photo", caption="Photo from the owner", content_type="image/png", sha256="0" * 64, original_name="a.png"
    )
    job.owner_uploads.create(document=document)
    owner = let_in(client, job)
    assert "Photo from the owner" in owner.get(address(job, "files/")).content.decode()
    assert services.set_aside(by=desk, job=job, document=document, reason="Blurred")
    assert not services.set_aside(by=desk, job=job, document=document, reason="Again")
    for page in ("", "files/"):
        assert "Photo from the owner" not in owner.get(address(job, page)).content.decode()


def test_what_was_set_aside_by_mistake_is_brought_back(as_, client, desk, engineer, job):
    add(as_, desk, job, picture(), caption="Right wheel")
    document = job.vehicle.documents.get()
    job.owner_uploads.create(document=document)
    services.set_aside(by=engineer, job=job, document=document, reason="Shows another vehicle.")
    page = as_(desk).get(f"/jobs/{job.number}/photos/").content.decode()
    folded = page.split("<details", 1)[1].split("</details>")[0]
    assert not folded.split(">", 1)[0].endswith("open")
    for told in ("Right wheel", "Shows another vehicle.", engineer.full_name, "Bring back"):
        assert told in folded
    url = f"/jobs/{job.number}/documents/{document.pk}/bring-back/"
    assert as_(desk).get(url).status_code == 405
    page = as_(desk).post(url, follow=True).content.decode()
    assert "“Right wheel” is back" in page and "<details" not in page.split("<main")[1]
    assert [one.caption for one in job.vehicle.documents.standing()] == ["Right wheel"]
    entry = job.audit_entries.first()
    assert (entry.what, entry.by) == ("Photo brought back: Right wheel", desk)
    assert entry.details == {
        "set_aside_by": engineer.full_name, "why": "Shows another vehicle.", "sha256": document.sha256
    }  # fmt: skip
    entries = job.audit_entries.count()
    assert "is back already" in as_(desk).post(url, follow=True).content.decode()
    assert job.audit_entries.count() == entries
    assert "Right wheel" in let_in(client, job).get(address(job, "files/")).content.decode()


def test_in_a_closed_file_nothing_is_brought_back(as_, desk, job):
    document = job.vehicle.documents.create(
        kind="photo", caption="Wheel", content_type="image/png", sha256="0" * 64, original_name="a.png"
    )
    services.set_aside(by=desk, job=job, document=document, reason="Blurred")
    Job.objects.filter(pk=job.pk).update(stage="done")
    assert "Bring back" not in as_(desk).get(f"/jobs/{job.number}/photos/").content.decode()
    as_(desk).post(f"/jobs/{job.number}/documents/{document.pk}/bring-back/")
    assert not job.vehicle.documents.standing().exists()


def test_a_paper_of_another_job_is_not_brought_back_here(as_, desk, job):
    other = JobFactory()
    document = other.vehicle.documents.create(
        kind="photo", caption="Wheel", content_type="image/png", sha256="0" * 64, original_name="a.png"
    )
    services.set_aside(by=desk, job=other, document=document, reason="Blurred")
    assert as_(desk).post(f"/jobs/{job.number}/documents/{document.pk}/bring-back/").status_code == 404
    assert not other.vehicle.documents.standing().exists()


def test_what_a_certificate_rests_on_is_not_set_aside(as_, desk):
    job = JobFactory(stage="done")
    document = job.vehicle.documents.create(
        kind="photo", caption="Wheel", content_type="image/png", sha256="0" * 64, original_name="a.png"
    )
    as_(desk).post(f"/jobs/{job.number}/documents/{document.pk}/set-aside/", {"reason": "x"})
    assert job.vehicle.documents.standing().exists()
