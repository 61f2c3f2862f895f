app_name = "certificates"
urlpatterns = []
