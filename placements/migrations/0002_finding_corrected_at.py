from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("placements", "0001_initial")]

    operations = [migrations.RenameField("reviewfinding", "mended_at", "corrected_at")]
