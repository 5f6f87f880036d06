from django.apps import AppConfig
from django.contrib.admin.apps import AdminConfig


class StudioConfig(AppConfig):
    name = "studio"
    verbose_name = "Studio"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from . import checks, metrics  # noqa: F401  (register themselves)
        from .services import keys  # noqa: F401  (hears of new passwords)


class OfficeConfig(AdminConfig):
    default_site = "studio.office.Office"
