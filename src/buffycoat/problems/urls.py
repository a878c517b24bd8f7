from django.urls import path

from buffycoat.problems import views

urlpatterns = [
    path("problem/", views.problem, name="problem"),
    path("problems/", views.problems, name="problems"),
    path("problems/<int:number>/", views.settle, name="problem-settle"),
]
