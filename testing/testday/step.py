from jobs.steps import OwnerNews, Step

STEP = Step(
    key="testday",
    order=4,
    title="Test day",
    owner_title="Test day",
    who="Engineer",
    permission="testing.sign_triage",
    move_on_label="Go on",
    template="jobs/_booking_panel.html",
    blockers=lambda job: (),
    owner_news=lambda job: OwnerNews(next=""),
)
