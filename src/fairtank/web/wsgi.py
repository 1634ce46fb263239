"""The pages as an application that a server can run."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fairtank.settings")
application = get_wsgi_application()
