"""Changes rows, as a later release's migration would."""

from pathlib import Path

from django.db import migrations
from django.db.models import F, Value
from django.db.models.functions import Concat

from studio import migrations as ours


def prefix_titles(apps, schema_editor):
    works = apps.get_model("studio", "Artwork").objects.using(schema_editor.connection.alias)
    works.update(title=Concat(Value("Later: "), F("title")))


class Migration(migrations.Migration):
    dependencies = [("studio", max(path.stem for path in Path(ours.__path__[0]).glob("0*.py")))]
    operations = [migrations.RunPython(prefix_titles)]
