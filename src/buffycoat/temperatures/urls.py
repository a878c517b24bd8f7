from django.contrib.auth.decorators import login_not_required
from django.urls import path

from buffycoat.temperatures import alarm_views, thermometer_views, views

urlpatterns = [
    path("temperatures/", views.all_places, name="temperatures"),
    path("temperatures/read/", views.find_place, name="temperature-find"),
    path(
        "temperatures/readings/", login_not_required(thermometer_views.readings), name="thermometer-readings"
    ),
    path("temperatures/<code:place>/", views.trace, name="temperature-trace"),
    path("temperatures/<code:place>/read/", views.read, name="temperature-read"),
    path("temperatures/<code:place>/thermometers/new/", thermometer_views.new, name="thermometer-new"),
    path("thermometers/<int:number>/", thermometer_views.thermometer, name="thermometer"),
    path("thermometers/<int:number>/key/", thermometer_views.new_key, name="thermometer-key"),
    path("thermometers/<int:number>/file/", thermometer_views.file, name="thermometer-file"),
    path("alarms/<int:number>/", alarm_views.alarm, name="alarm"),
    path("alarms/<int:number>/units/", alarm_views.judge, name="alarm-judge"),
]
