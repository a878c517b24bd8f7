from django.urls import path

from buffycoat.calculator import views

urlpatterns = [
    path("calculator/", views.calculators, name="calculators"),
    path("calculator/<str:name>/", views.calculator, name="calculator"),
]
