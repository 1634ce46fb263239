"""Several finished trials taken together."""

from django.urls import path

from fairtank.web.views import pool

urlpatterns = [
    path("pool/", pool.pool, name="pool"),
    path("pool/ask/", pool.ask, name="pool_ask"),
    path("pool/<int:number>/", pool.pooled, name="pooled"),
    path("pool/<int:number>/pooled.json", pool.pooled_file, name="pooled_file"),
    path("pool/<int:number>/report.html", pool.pooled_page, name="pooled_page"),
    path("pool/<int:number>/report.pdf", pool.pooled_paper, name="pooled_paper"),
]
