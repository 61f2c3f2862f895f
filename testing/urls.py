from testing.scheduling.urls import urlpatterns as scheduling
from testing.testday.urls import urlpatterns as testday
from testing.triage.urls import urlpatterns as triage

app_name = "testing"
urlpatterns = [*triage, *scheduling, *testday]
