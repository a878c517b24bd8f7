from django.urls import path

from buffycoat.keeping import views

urlpatterns = [
    path("backups/", views.backups, name="backups"),
    path("backups/sheet/", views.daily_sheet, name="daily-sheet"),
    path("stock/at/", views.stock_at, name="stock-at"),
]
