"""Every address: each room's doors, sign-in, the API's description, and the phone's files."""

from django.contrib import admin
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from teamdive.deck import api as deck
from teamdive.logbook import api as logbook
from teamdive.people import api as people
from teamdive.reminders import api as reminders
from teamdive.trips import api as trips
from teamdive.web import api as web

urlpatterns = [
    *web.urlpatterns,
    *people.urlpatterns,
    *logbook.urlpatterns,
    *trips.urlpatterns,
    *deck.urlpatterns,
    *reminders.urlpatterns,
    path("api/schema", SpectacularAPIView.as_view(), name="schema"),
    path("_allauth/", include("allauth.headless.urls")),
    path("admin/", admin.site.urls),
]
