"""Who is told what about a booking: owner, crew and site, by e-mail through the outbox."""

from django.utils.formats import date_format

from jobs import outbox
from jobs.messages import letters
from testing.scheduling import calendars

# What the owner reads is worded in the workshop's messages; a hold is a morning that is offered to them.
OWNER_EVENTS = {
    "held": "mornings_offered",
    "booked": "test_booked",
    "moved": "test_moved",
    "cancelled": "test_cancelled",
    "go": "test_go",
    "no_go": "test_no_go",
}
SUBJECTS = {
    "held": "Held: {when}",
    "booked": "Booked: {when}",
    "moved": "Moved to {when}",
    "cancelled": "Cancelled: {when}",
    "run_out": "No longer held: {when}",
    "go": "Go: {when}",
    "no_go": "Not going ahead: {when}",
}
LINES = {
    "held": "This time is held until {held_until}. You hear from us when it is booked.",
    "booked": "The lane-change test is booked.",
    "moved": "The lane-change test was moved. It was booked for {was}. Why: {reason}",
    "cancelled": "This booking is cancelled. Why: {reason}",
    "run_out": "The hold ran out; the time is free again.",
    "go": "The engineer looked at every condition and decided: the test goes ahead.",
    "no_go": "The engineer decided: the test does not go ahead at this time. Why: {reason}",
}


def tell(kind, booking, *, was=None, reason="", owner=True):
    """Write the messages of one act. Call it inside the transaction of the act."""
    facts = {
        "when": booking.when,
        "where": _where(booking),
        "was": was.when if was else "",
        "reason": reason or booking.cancelled_because,
        "held_until": booking.held_until and date_format(booking.held_until_local, "j M Y, H:i"),
        "mornings": f"{booking.when}, {_where(booking)}",
    }
    file = _calendar(booking)
    if owner and kind in OWNER_EVENTS:
        sent = () if kind == "held" else [(file.filename, file.content_type, file.content)]
        letters.send(job=booking.job, event=OWNER_EVENTS[kind], facts=facts, attachments=sent)
    for who, to in _addresses(booking):
        outbox.post(
            job=booking.job,
            to=to,
            kind=f"{kind}_{who}",
            subject=SUBJECTS[kind].format(**facts),
            body=_body(kind, who, booking, facts),
            attachments=[file],
        )


def _where(booking):
    return ", ".join(filter(None, (booking.site.name, booking.site.place)))


def _addresses(booking):
    """Crew and site, everybody once."""
    people = [("crew", person.email) for person in (booking.driver, *booking.observers.all())]
    seen = set()
    for who, to in (*people, ("site", booking.site.email)):
        if to and to.casefold() not in seen:
            seen.add(to.casefold())
            yield who, to


def _body(kind, who, booking, facts):
    vehicle = booking.job.vehicle
    lines = [
        LINES[kind].format(**facts),
        "",
        f"When: {booking.when}",
        f"Where: {facts['where']}",
        f"Vehicle: {vehicle.name if who == 'site' else vehicle}",
    ]
    if who == "crew":
        lines += _crew(booking)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _crew(booking):
    yield f"Driver: {booking.driver}"
    if observers := ", ".join(map(str, booking.observers.all())):
        yield f"Observers: {observers}"
    if instruments := ", ".join(map(str, booking.instruments.all())):
        yield f"Bring: {instruments}"


def _calendar(booking):
    content = calendars.calendar_of([booking], name=f"Test of {booking.job.number}")
    return outbox.Attachment(filename=f"{booking.job.number}.ics", content_type=calendars.CONTENT_TYPE, content=content)
