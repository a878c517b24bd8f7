from django.urls import path

from buffycoat.matching import views

urlpatterns = [
    path("match/", views.match, name="match"),
    path("match/table/", views.compatibility, name="compatibility"),
]
