"""The addresses of the pages, one file per family; `fairtank.web.urls` gathers them."""
