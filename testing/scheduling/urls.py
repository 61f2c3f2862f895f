from django.urls import path

from testing.scheduling.views import booking, cover, forecast, planner, resources

urlpatterns = [
    path("planner/", planner.planner, name="planner"),
    path("planner/sites/add/", resources.add_site, name="add_site"),
    path("planner/sites/<int:pk>/", resources.site, name="site"),
    path("planner/sites/<int:pk>/forecast/", forecast.forecast, name="forecast"),
    path("planner/sites/<int:pk>/forecast/enter/", forecast.enter_forecast, name="enter_forecast"),
    path("planner/sites/<int:pk>/forecast/upload/", forecast.upload_forecast, name="upload_forecast"),
    path("planner/crew/add/", resources.add_crew_member, name="add_crew_member"),
    path("planner/crew/<int:pk>/", resources.crew_member, name="crew_member"),
    path("jobs/<slug:number>/cover/", cover.cover, name="cover"),
    path("jobs/<slug:number>/cover/<int:pk>/remove/", cover.remove_cover, name="remove_cover"),
    path("jobs/<slug:number>/schedule/", booking.schedule, name="schedule"),
    path("jobs/<slug:number>/schedule/cancel/", booking.cancel_booking, name="cancel_booking"),
]
