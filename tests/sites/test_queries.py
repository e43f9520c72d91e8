"""Finding clients, with their homes."""

import pytest

from sites import queries
from sites.models import Client, Site
from tests import make

pytestmark = pytest.mark.django_db


def found(words: str) -> list[str]:
    return [
        client.name for client in queries.homes_by_client(Client.objects.all(), Site.objects.all(), words)
    ]


def test_a_client_is_found_by_name_in_its_own_script():
    make.client(name="Ελένη Βασιλάκη")
    make.client(name="Ingunn Sæther")
    assert found("Ελένη") == ["Ελένη Βασιλάκη"]


def test_a_client_is_found_by_reading():
    make.client(name="森下かなえ", reading="もりした")
    make.client(name="Ingunn Sæther")
    assert found("もりした") == ["森下かなえ"]


def test_a_client_is_found_by_the_code_of_a_home():
    make.site(code="KELP-7", client=make.client(name="Ingunn Sæther"))
    make.site(code="GULL-5", client=make.client(name="Mere Tāmoana"))
    assert found("kelp") == ["Ingunn Sæther"]


def test_every_word_must_be_found():
    make.client(name="Ingunn Sæther")
    assert found("Ingunn Tāmoana") == []


def test_homes_that_are_not_open_are_left_out():
    owner = make.client()
    open_home = make.site(client=owner)
    make.site(client=owner)
    [client] = queries.homes_by_client(Client.objects.all(), Site.objects.filter(pk=open_home.pk))
    assert client.open_sites == [open_home]


@pytest.mark.parametrize("clients", [1, 25])
def test_the_list_takes_two_statements_whatever_its_length(django_assert_num_queries, clients):
    for _ in range(clients):
        make.site()
    with django_assert_num_queries(2):
        rows = list(queries.homes_by_client(Client.objects.all(), Site.objects.all()))
    assert len(rows) == clients
