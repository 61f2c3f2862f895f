"""Who may drive a test: skilled, with evidence in date, never the owner, and nobody who is barred."""


def _same(one, other):
    def plain(text):
        return " ".join((text or "").split()).casefold()

    return bool(plain(one)) and plain(one) == plain(other)


def is_owner(driver, owner):
    """By account, by name or by e-mail: an owner who also works as a driver is still the owner."""
    account = driver.user
    if _same(driver.name, owner.name) or _same(driver.email, owner.email):
        return True
    if account is None:
        return False
    return account.pk == owner.user_id or _same(account.email, owner.email) or _same(account.full_name, owner.name)


def barred(driver, owner):
    """Why this person may not drive vehicles of this owner, as the list of the crew member says, or None."""
    return next(
        (row for row in driver.barred.all() if _same(row.owner, owner.name) or _same(row.owner, owner.email)), None
    )


def objections(driver, *, job, day):
    """Why this person may not drive this vehicle on that day, one sentence each."""
    if not driver.drives:
        yield f"{driver} is not listed as one who may drive tests."
    if is_owner(driver, job.owner):
        yield f"{driver} is the owner of this vehicle; the owner never drives the test."
    if bar := barred(driver, job.owner):
        yield f"{driver} may not drive vehicles of {bar.owner}: {bar.reason}."
    if not driver.skill_evidence:
        yield f"No evidence of skill is recorded for {driver}."
    if driver.evidence_valid_to is None:
        yield f"It is not recorded until when the evidence of skill of {driver} holds."
    elif driver.evidence_valid_to < day:
        until = driver.evidence_valid_to
        yield f"The evidence of skill of {driver} holds until {until.day} {until:%b %Y} only."
