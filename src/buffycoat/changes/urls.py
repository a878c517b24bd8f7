from django.urls import path

from buffycoat.changes import views

urlpatterns = [
    path("units/<code:unit>/change/", views.change, name="unit-change"),
    path("units/<code:unit>/thaw/", views.thaw, name="unit-thaw"),
    path("units/<code:unit>/open/", views.open_it, name="unit-open"),
    path("units/<code:unit>/irradiate/", views.irradiate, name="unit-irradiate"),
    path("units/<code:unit>/freeze/", views.freeze, name="unit-freeze"),
    path("units/<code:unit>/divide/", views.divide, name="unit-divide"),
    path("units/<code:unit>/cryo/", views.cryo, name="unit-cryo"),
    path("changes/<code:donation>/weigh/<str:part>/", views.weigh, name="part-weigh"),
]
