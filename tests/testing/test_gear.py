"""Pages of instruments, ballast, blackout dates and barred owners."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from testing.models import BallastStock, BarredOwner, Instrument, SiteBlackout
from testing.scheduling import gear
from testing.workup import work_up_of
from tests.factories import CrewMemberFactory
from tests.scheduling_factories import calibrated, in_days, level_site

pytestmark = pytest.mark.django_db
ADD = "/planner/instruments/add/"


def instrument(**changed):
    return {
        "kind": "anemometer", "name": "Cup anemometer", "serial": "CA-0042", "certificate": "Ironbark 26-0298",
        "calibrated_on": in_days(-100).isoformat(), "valid_to": in_days(265).isoformat(), "in_service": "on", **changed,
    }  # fmt: skip


def test_an_instrument_is_added_with_its_paper(as_, engineer):
    paper = SimpleUploadedFile("../../etc/passwd.pdf", b"%PDF-1.4 calibration", content_type="text/html")
    assert as_(engineer).post(ADD, instrument(upload=paper)).status_code == 302
    kept = Instrument.objects.get()
    assert (kept.valid_to, kept.document_type) == (in_days(265), "application/pdf")
    assert "passwd" not in kept.document.name
    sent = as_(engineer).get(reverse("testing:calibration", args=[kept.pk]))
    assert b"".join(sent) == b"%PDF-1.4 calibration"
    assert sent["Content-Disposition"].startswith("attachment")


def test_a_paper_that_is_none_is_refused_and_the_rest_stays_typed(as_, engineer):
    response = as_(engineer).post(ADD, instrument(upload=SimpleUploadedFile("x.pdf", b"<script>")))
    assert response.context["form"].errors.keys() == {"upload"}
    assert 'value="CA-0042"' in response.content.decode()
    assert not Instrument.objects.exists()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("kind", "spirit_level"),
        ("name", ""),
        ("name", "a\x00b"),
        ("serial", "x" * 41),
        ("valid_to", "1899-01-01"),
        ("valid_to", "soon"),
        ("calibrated_on", "9999-99-99"),
    ],
)
def test_bad_input_is_answered_at_the_field(as_, engineer, field, value):
    response = as_(engineer).post(ADD, instrument(**{field: value}))
    assert response.context["form"].errors.keys() == {field}


def test_a_calibration_does_not_end_before_it_begins(as_, engineer):
    response = as_(engineer).post(ADD, instrument(valid_to=in_days(-101).isoformat()))
    assert response.context["form"].errors.keys() == {"valid_to"}


def test_the_same_instrument_is_known_once(as_, engineer):
    as_(engineer).post(ADD, instrument())
    response = as_(engineer).post(ADD, instrument())
    assert response.status_code == 200
    assert Instrument.objects.count() == 1


def test_ballast_is_kept_by_the_piece(as_, engineer):
    as_(engineer).post("/planner/ballast/add/", {"name": "Sand bags", "piece_kg": "44.3 lb", "pieces": "40"})
    (kept,) = BallastStock.objects.all()
    assert kept.total_kg == pytest.approx(40 * 44.3 * 0.45359237)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("piece_kg", "0"),
        ("piece_kg", "NaN"),
        ("pieces", "2.5"),
        ("pieces", "-1"),
        ("pieces", "1" * 30),
        ("name", ""),
    ],
)
def test_bad_ballast(as_, engineer, field, value):
    facts = {"name": "Sand bags", "piece_kg": "20", "pieces": "40", field: value}
    response = as_(engineer).post("/planner/ballast/add/", facts)
    assert response.context["form"].errors.keys() == {field}


def test_loading_is_planned_with_the_ballast_that_is_kept(job):
    """20 bags of 20.1 kg and no other piece: every plan is a multiple of one bag."""
    assumed = gear.own_stock()
    assert assumed.source.startswith("assumed")
    BallastStock.objects.create(name="Sand bags", piece_kg=20.1, pieces=20)
    kept = gear.own_stock()
    assert [(piece.key, piece.mass_kg, piece.count) for piece in kept.pieces] == [("Sand bags, 20.1 kg", 20.1, 20)]
    assert work_up_of(job)["ballast"]["stock"]["source"].startswith("the workshop's own stock")
    BallastStock.objects.update(pieces=0)
    assert gear.own_stock().pieces[0].count == 0


def test_ballast_against_what_it_takes():
    stock = [BallastStock(name="Bags", piece_kg=20, pieces=17)]
    assert gear.ballast(340, stock)[0] == "met"
    assert gear.ballast(340.1, stock)[0] == "not_met"
    assert gear.ballast(340, [])[0] == "unknown"
    assert gear.ballast(None, stock)[0] == "unknown"


def test_the_longest_calibration_is_chosen():
    calibrated("gps_speed", valid_to=in_days(10))
    longest, wind = calibrated("gps_speed", valid_to=in_days(90)), calibrated("anemometer")
    assert gear.choose(in_days(5)) == ([longest, wind], [])
    assert gear.choose(in_days(95))[1] == ["gps_speed"]
    assert gear.choose(in_days(5), busy={wind.pk})[1] == ["anemometer"]


def test_days_without_a_site(as_, engineer):
    site = level_site()
    url = reverse("testing:site_blackouts", args=[site.pk])
    facts = {"first_day": in_days(3).isoformat(), "last_day": in_days(1).isoformat(), "reason": "Works"}
    assert as_(engineer).post(url, facts).context["form"].errors.keys() == {"last_day"}
    as_(engineer).post(url, {**facts, "last_day": facts["first_day"]})
    kept = SiteBlackout.objects.get()
    assert "Works" in as_(engineer).get(url).content.decode()
    as_(engineer).post(reverse("testing:remove_blackout", args=[site.pk, kept.pk]))
    as_(engineer).post(reverse("testing:remove_blackout", args=[site.pk, kept.pk]))
    assert not SiteBlackout.objects.exists()


def test_whose_vehicles_somebody_may_not_drive(as_, engineer):
    member = CrewMemberFactory()
    url = reverse("testing:barred_owners", args=[member.pk])
    as_(engineer).post(url, {"owner": "Robin Wheeler", "reason": "Brother"})
    again = as_(engineer).post(url, {"owner": "robin wheeler", "reason": "Brother"})
    assert "on the list already" in again.content.decode()
    kept = BarredOwner.objects.get()
    as_(engineer).post(reverse("testing:remove_barred", args=[member.pk, kept.pk]))
    assert not BarredOwner.objects.exists()


def test_the_planner_marks_what_is_out_of_date(as_, desk):
    calibrated("gps_speed", valid_to=in_days(-1))
    calibrated("anemometer", valid_to=in_days(10))
    page = as_(desk).get("/planner/").content.decode()
    assert "out of date" in page
    assert "soon" in page
