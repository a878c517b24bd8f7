from django.urls import path

from buffycoat.lists import views

urlpatterns = [
    path("lists/", views.lists, name="lists"),
    path("lists/<int:number>/", views.columns, name="list"),
    path("lists/<int:number>/rows/", views.rows, name="list-rows"),
    path("lists/<int:number>/refused.csv", views.refused, name="list-refused"),
    path("lists/<int:number>/close/", views.close, name="list-close"),
    path("lists/out/<slug:kind>.<slug:form>", views.out, name="list-out"),
]
