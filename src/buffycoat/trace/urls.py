from django.urls import path

from buffycoat.trace import book_views, views

urlpatterns = [
    path("", views.today, name="today"),
    path("scan/", views.scan, name="scan"),
    path("donations/<code:donation>/", views.donation, name="donation"),
    path("donations/<code:donation>/next/", views.to_next_step, name="next-step"),
    path("journal/", book_views.journal, name="journal"),
    path("journal/check/", book_views.check, name="journal-check"),
    path("journal/<int:number>/strike/", book_views.strike_entry, name="journal-strike"),
    path("help/", views.help_page, name="help"),
    path("units/<code:unit>/", views.unit, name="unit"),
]
