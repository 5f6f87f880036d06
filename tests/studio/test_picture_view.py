import io

import pytest
from django.urls import reverse
from PIL import Image

from studio.services.pictures import picture_save
from tests.factories import ArtworkFactory, ClientFactory
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def art(cast, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return picture_save(artwork=ArtworkFactory(client=ClientFactory(studio=cast.studio)), content=jpeg(size=(900, 600)))


def address(art, alias="page"):
    return reverse("work_picture", args=[art.pk, alias])


def test_a_member_sees_the_picture_in_the_size_asked_for(cast, client_of, art):
    for alias, side in (("strip", 240), ("page", 800), ("sheet", 600)):
        response = client_of(cast.coordinator).get(address(art, alias))
        content = b"".join(response.streaming_content)
        with Image.open(io.BytesIO(content)) as picture:
            assert max(picture.size) == side
        assert response["Cache-Control"].startswith("private")


def test_a_browser_that_has_it_is_told_so(cast, client_of, art):
    client = client_of(cast.designer)
    first = client.get(address(art))
    b"".join(first.streaming_content)
    assert client.get(address(art), headers={"If-None-Match": first["ETag"]}).status_code == 304


def test_strangers_get_nothing_and_the_anonymous_are_asked_to_sign_in(cast, client_of, client, art):
    assert client_of(cast.stranger).get(address(art)).status_code == 404
    assert client.get(address(art)).status_code == 302
    assert client_of(cast.designer).get(address(art, "whole")).status_code == 404
    assert client_of(cast.designer).get(address(ArtworkFactory(client=art.client))).status_code == 404
