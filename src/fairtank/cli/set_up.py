"""Importing this file sets the shelf up: rows can be imported only after it."""

import os

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fairtank.settings")
django.setup()
