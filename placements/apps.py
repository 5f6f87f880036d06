from django.apps import AppConfig


class PlacementsConfig(AppConfig):
    name = "placements"
    default_auto_field = "django.db.models.BigAutoField"
