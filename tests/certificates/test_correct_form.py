"""What a correction may not do: leave a certificate that speaks of no vehicle in particular."""

import pytest
from django.urls import reverse

from certificates.models import Certificate


def sent(certificate, **changes):
    vehicle = certificate.record["vehicle"]
    names = ("make", "model", "built_year", "vin", "chassis_number", "plate", "plate_state")
    signed = {"owner_name": certificate.owner_name, "reason": "Typed wrong", "declared": "on"}
    return {**signed, **{name: vehicle[name] for name in names}, **changes}


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("vin", "Empty is not usable: the certificate speaks of VIN 6T1BANKS1A0"),
        ("make", "This field is required."),
        ("model", "This field is required."),
    ],
)
def test_identity_is_put_right_and_never_emptied(engineer, plain, as_, name, told):
    url = reverse("certificates:correct", args=[plain.number])
    response = as_(engineer).post(url, sent(plain, **{name: ""}))
    assert response.status_code == 200 and told in response.content.decode()
    assert Certificate.objects.count() == 1


def test_a_chassis_number_can_be_added(engineer, plain, as_):
    url = reverse("certificates:correct", args=[plain.number])
    as_(engineer).post(url, sent(plain, chassis_number="fj40-12345"))
    assert Certificate.objects.get(replaces=plain).record["vehicle"]["chassis_number"] == "FJ40-12345"
