"""Messages as files: what one process writes, another reads whole or not yet."""

from queue import Empty

import pytest
from kombu import Connection, Exchange, Queue

from studio.broker import Transport


@pytest.fixture
def connection(tmp_path):
    queue, control = tmp_path / "queue", tmp_path / "control"
    folders = {"data_folder_in": queue, "data_folder_out": queue, "control_folder": control}
    for folder in folders.values():
        folder.mkdir(exist_ok=True)
    with Connection("localhost", transport=Transport, transport_options=folders) as opened:
        yield opened


def test_messages_come_out_once_in_the_order_they_went_in(connection):
    channel = connection.channel()
    queue = Queue("sheets", Exchange("sheets"), routing_key="sheets")(channel)
    queue.declare()
    for number in range(20):
        connection.Producer(channel).publish({"number": number}, exchange="sheets", routing_key="sheets")
    assert channel._size("sheets") == 20
    assert [queue.get(no_ack=True).payload["number"] for _ in range(20)] == list(range(20))
    assert queue.get() is None


def test_a_message_that_is_still_being_written_is_not_there_yet(connection):
    """A worker that polls at this very moment finds nothing, where half a message would end it."""
    reader, seen = connection.channel(), []

    class Slow:
        def __json__(self):
            with pytest.raises(Empty):
                reader._get("sheets")
            seen.append(list(reader.get_table("sheets")))
            return "written"

    connection.channel()._put("sheets", {"body": Slow()})
    assert seen
    assert reader._get("sheets") == {"body": "written"}


def test_a_broken_write_leaves_nothing_behind(connection, tmp_path):
    with pytest.raises(TypeError):
        connection.channel()._put("sheets", {"body": object()})
    assert list((tmp_path / "queue").iterdir()) == []


def test_binding_twice_keeps_both_queues(connection):
    first, second = connection.channel(), connection.channel()
    first._queue_bind("work", "a", "", "one")
    second._queue_bind("work", "b", "", "two")
    assert {row.queue for row in first.get_table("work")} == {"one", "two"}
