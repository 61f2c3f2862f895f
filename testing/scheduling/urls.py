from django.urls import path

from testing.scheduling.views import booking, calendar, cover, finding, forecast, go, planner, resources

_site = "planner/sites/<int:pk>/"
_crew = "planner/crew/<int:pk>/"
_job = "jobs/<slug:number>/"

urlpatterns = [
    path("planner/", planner.planner, name="planner"),
    path("planner/find/", finding.find, name="find"),
    path("planner/find/take/", finding.take, name="take"),
    path("planner/find/offer/", finding.offer, name="offer"),
    path("planner/calendar/new/", calendar.new_feed, name="new_feed"),
    path("planner/calendar/<str:token>.ics", calendar.feed, name="feed"),
    path("planner/sites/add/", resources.add_site, name="add_site"),
    path(_site, resources.site, name="site"),
    path(f"{_site}days/", resources.site_blackouts, name="site_blackouts"),
    path(f"{_site}days/<int:blackout>/remove/", resources.remove_blackout, name="remove_blackout"),
    path(f"{_site}forecast/", forecast.forecast, name="forecast"),
    path(f"{_site}forecast/enter/", forecast.enter_forecast, name="enter_forecast"),
    path(f"{_site}forecast/upload/", forecast.upload_forecast, name="upload_forecast"),
    path(f"{_site}forecast/columns/", forecast.explain_columns, name="explain_columns"),
    path(f"{_site}forecast/fetch/", forecast.fetch_forecast, name="fetch_forecast"),
    path(f"{_site}past/", forecast.past_weather, name="past_weather"),
    path("planner/crew/add/", resources.add_crew_member, name="add_crew_member"),
    path(_crew, resources.crew_member, name="crew_member"),
    path(f"{_crew}not-for/", resources.barred_owners, name="barred_owners"),
    path(f"{_crew}not-for/<int:barred>/remove/", resources.remove_barred, name="remove_barred"),
    path("planner/instruments/add/", resources.add_instrument, name="add_instrument"),
    path("planner/instruments/<int:pk>/", resources.instrument, name="instrument"),
    path("planner/instruments/<int:pk>/certificate/", resources.calibration, name="calibration"),
    path("planner/ballast/add/", resources.add_ballast, name="add_ballast"),
    path("planner/ballast/<int:pk>/", resources.ballast, name="ballast"),
    path(f"{_job}cover/", cover.cover, name="cover"),
    path(f"{_job}cover/<int:pk>/remove/", cover.remove_cover, name="remove_cover"),
    path(f"{_job}schedule/", booking.schedule, name="schedule"),
    path(f"{_job}schedule/confirm/", booking.confirm_booking, name="confirm_booking"),
    path(f"{_job}schedule/cancel/", booking.cancel_booking, name="cancel_booking"),
    path(f"{_job}go/", go.go, name="go"),
    path(f"{_job}go/decide/", go.decide_go, name="decide_go"),
    path(f"{_job}go/preparation/", go.note_preparation, name="note_preparation"),
    path(f"{_job}go/preparation-sheet.pdf", go.preparation_sheet, name="preparation_sheet"),
]
