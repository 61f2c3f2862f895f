"""certificates:import and certificates:import_batch: past certificates brought in with the browser."""

import csv
import io
import stat
import zipfile

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from certificates import import_batches, import_papers, importing
from certificates.check import verify_chain
from certificates.models import ImportedCertificate
from tests.certificates.test_import import ROW

SEND = reverse("certificates:import")


def table(*rows, name="old.csv"):
    out = io.StringIO()
    writer = csv.DictWriter(out, list(ROW))
    writer.writeheader()
    writer.writerows(rows)
    return SimpleUploadedFile(name, out.getvalue().encode(), "text/csv")


def packed(members, name="papers.zip"):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for member, content in members:
            archive.writestr(member, content)
    return SimpleUploadedFile(name, out.getvalue(), "application/zip")


PDFS = [("past/17.pdf", b"%PDF-1.4 seventeen"), ("past/spare.pdf", b"%PDF-1.4 spare")]


def test_sent_looked_at_imported_and_found_in_the_register(admin_user, as_):
    client = as_(admin_user)
    assert f'href="{SEND}"' in client.get(reverse("certificates:register")).content.decode()
    wrong = {**ROW, "number": "LT/2", "issued_on": "soon", "wind_mps": "calm"}
    sent = client.post(SEND, {"table": table(ROW, wrong), "papers": packed(PDFS)})
    page = client.get(sent.url).content.decode()
    assert not ImportedCertificate.objects.exists()
    assert "issued_on “soon” is no date; allowed is a day such as 2019-03-04<br>wind_mps “calm” is no number" in page
    assert '<th scope="row">line 3</th><td data-label="Number">LT/2</td>' in page
    assert "Import 1 line<" in page
    assert "They are not imported: past/spare.pdf" in page
    done = client.post(sent.url, {"act": "import"}, follow=True).content.decode()
    assert "1 certificate imported." in done
    imported = ImportedCertificate.objects.get()
    paper = client.get(reverse("certificates:imported_pdf", args=[imported.pk]))
    assert (imported.imported_by, paper.content) == (admin_user, b"%PDF-1.4 seventeen")
    assert imported.number in client.get(reverse("certificates:register")).content.decode()
    assert list(verify_chain()) == []
    # The table is still there to be seen; mended and sent again, the line that is in is recognised.
    assert sent.url in client.get(SEND).content.decode()
    assert client.post(sent.url, {"act": "drop"}).url == SEND
    assert client.get(sent.url).status_code == 404
    mended = {**ROW, "number": "LT/2"}
    again = client.post(SEND, {"table": table(ROW, mended), "papers": packed(PDFS)})
    assert [one.result for one in import_batches.look(again.url.split("/")[-2])[0]] == ["in already", "ready"]


def test_what_one_request_cannot_finish_the_next_goes_on_with(admin_user, as_, monkeypatch):
    rows = [{**ROW, "number": f"LT/{n}", "pdf": ""} for n in range(3)]
    client = as_(admin_user)
    url = client.post(SEND, {"table": table(*rows)}).url
    monkeypatch.setattr(import_batches, "SECONDS_AT_ONCE", -1)
    for done in (1, 2, 3):
        client.post(url, {"act": "import"})
        assert ImportedCertificate.objects.count() == done
    assert "Every line is in." in client.get(url).content.decode()


def test_broken_off_in_the_middle_nothing_is_half_in_and_pressing_again_goes_on(admin_user, as_, monkeypatch):
    rows = [{**ROW, "number": f"LT/{n}", "pdf": ""} for n in range(3)]
    client, enter = as_(admin_user), importing.lines.add
    url = client.post(SEND, {"table": table(*rows)}).url

    def crash(subject):
        if subject.number == "LT/1":
            raise RuntimeError("power cut")
        return enter(subject)

    with monkeypatch.context() as patched, pytest.raises(RuntimeError):
        patched.setattr(importing.lines, "add", crash)
        client.post(url, {"act": "import"})
    assert ImportedCertificate.objects.get().number == "LT/0"
    client.post(url, {"act": "import"})
    assert ImportedCertificate.objects.count() == 3
    assert list(verify_chain()) == []


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"number,owner\n1,2\n", "The heading lacks issued_on"),
        (b"number,issued_on,owner,colour\n1,2,3,4\n", "unknown columns: colour"),
        (b"\xff\xfe\x00\x01", "not UTF-8"),
        (b"number,issued_on,owner,plate\n", "has 0 lines; allowed are 1 to 5,000"),
        (b"number,issued_on,owner,plate\n" + b"x,,,\n" * 5001, "has 5,001 lines"),
        (b"number,issued_on,owner,plate\n" + b"x" * 200_000 + b",,,\n", "no readable CSV"),
    ],
    ids=["too few", "unknown", "not text", "no line", "too long", "too wide"],
)
def test_a_table_that_cannot_be_used_is_refused_whole(admin_user, as_, content, why):
    page = as_(admin_user).post(SEND, {"table": SimpleUploadedFile("old.csv", content)})
    assert page.status_code == 200
    assert why in page.content.decode()
    assert import_batches.waiting() == []


def link(name):
    member = zipfile.ZipInfo(name)
    member.external_attr = (stat.S_IFLNK | 0o777) << 16
    return member


def encrypted():
    content = bytearray(packed([("17.pdf", b"%PDF-1.4")]).read())
    # The flag of the local header and of the directory (APPNOTE 4.4.4, bit 0).
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        content[content.index(mark) + at] |= 1
    return SimpleUploadedFile("papers.zip", bytes(content))


HOSTILE = {
    "climbing": (lambda: packed([("../17.pdf", b"%PDF-")]), "leads out of the folder of the zip"),
    "absolute": (lambda: packed([("/etc/17.pdf", b"%PDF-")]), "leads out of the folder of the zip"),
    "drive": (lambda: packed([("C:\\17.pdf", b"%PDF-")]), "leads out of the folder of the zip"),
    "link": (lambda: packed([(link("17.pdf"), b"/etc/passwd")]), "is a link or a device"),
    "encrypted": (encrypted, "is encrypted; send the zip without a password"),
    "one bomb": (lambda: packed([("17.pdf", b"\0" * 20_000_001)]), "unpacks to 20 MB; allowed are 20 MB for one PDF"),
    "many": (lambda: packed([(f"{n}.pdf", b"") for n in range(5001)]), "holds 5001 files; allowed are 5000"),
    "no zip": (lambda: SimpleUploadedFile("papers.zip", b"PK no zip"), "is no zip that can be read"),
}


@pytest.mark.parametrize(("make", "why"), HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_zip_is_refused_whole_and_leaves_nothing(admin_user, as_, make, why):
    page = as_(admin_user).post(SEND, {"table": table(ROW), "papers": make()})
    assert page.status_code == 200
    assert why in page.content.decode()
    assert not default_storage.exists("imports-waiting")


def test_a_bomb_of_many_members_is_refused_by_what_it_unpacks_to(monkeypatch):
    monkeypatch.setattr(import_papers, "MOST_UNPACKED_MB", 2)
    bomb = packed([(f"{n}.pdf", b"\0" * 900_000) for n in range(3)])
    with pytest.raises(import_papers.BadArchive, match="unpacks to 3 MB; allowed are 2 MB"):
        import_papers.Archive(bomb)


def test_a_name_twice_in_the_zip_is_refused():
    with pytest.warns(UserWarning, match="Duplicate name"):
        twice = packed([("17.pdf", b"%PDF-1"), ("17.pdf", b"%PDF-2")])
    with pytest.raises(import_papers.BadArchive, match="is in the zip 2 times"):
        import_papers.Archive(twice)


def lying():
    """A member that states one byte and unpacks to 30 MB."""
    content = bytearray(packed([("17.pdf", b"%PDF-" + b"\0" * 30_000_000)]).read())
    for mark, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        start = content.rindex(mark) + at
        content[start : start + 4] = (1).to_bytes(4, "little")
    return SimpleUploadedFile("papers.zip", bytes(content))


def damaged():
    content = bytearray(packed([("17.pdf", b"%PDF-1.4 seventeen")]).read())
    content[40] ^= 0xFF
    return SimpleUploadedFile("papers.zip", bytes(content))


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (lying, "pdf “17.pdf” is damaged in the zip"),
        (damaged, "pdf “17.pdf” is damaged in the zip"),
        (lambda: packed([("other.pdf", b"%PDF-")]), "pdf “17.pdf” is not in the zip"),
        (lambda: packed([("a/17.pdf", b"%PDF-"), ("b/17.pdf", b"%PDF-")]), "lies in several folders of the zip"),
        (lambda: packed([("17.pdf", b"MZ")]), "pdf “17.pdf” is no PDF"),
        (lambda: None, "pdf “17.pdf” is named, and no PDFs were given"),
    ],
    ids=["lying", "damaged", "missing", "twice", "no pdf", "no zip"],
)
def test_a_paper_that_cannot_be_had_refuses_its_line(admin_user, as_, make, why):
    client, papers = as_(admin_user), make()
    url = client.post(SEND, {"table": table(ROW)} | ({"papers": papers} if papers else {})).url
    assert why in client.get(url).content.decode()
    client.post(url, {"act": "import"})
    assert not ImportedCertificate.objects.exists()


@pytest.mark.parametrize("token", ["0" * 32, "none", "passwd"])
def test_a_token_that_was_never_given_leads_nowhere(admin_user, as_, token):
    assert as_(admin_user).get(reverse("certificates:import_batch", args=[token])).status_code == 404
