"""What a path does to the historic fabric follows from its own tasks: the two cannot disagree."""

import pytest

from heritagemove.museum.rows.paths import Path


def test_machined_boxes_take_no_brasses_whatever_the_path_is_for(museum):
    for path in ("convert_axles", "freight_wheelsets"):
        assert (museum.intervention(path), museum.reversible(path)) == (2, False)


@pytest.mark.parametrize(("path", "depth", "undone"), [
    ("own_wheels", 0, True), ("roll_on", 0, True), ("donor_trucks", 1, True), ("trailer", 1, True), ("cut_up", 3, False),
    ("decline", 3, False),
])  # fmt: skip
def test_what_cannot_be_undone_is_what_is_machined_or_lost(museum, path, depth, undone):
    assert (museum.intervention(path), museum.reversible(path)) == (depth, undone)


def test_without_the_machining_the_same_path_can_be_undone(museum):
    kept = [row for row in museum.alterations if row.change != "machined"]
    other = museum.with_changes(alterations=kept)
    assert (other.intervention("freight_wheelsets"), other.reversible("freight_wheelsets")) == (1, True)


def test_no_path_says_of_itself_what_its_tasks_say():
    assert not {"intervention", "reversible"} & set(Path.model_fields)


def test_every_task_of_the_demo_that_machines_something_is_an_alteration(museum):
    told = {(row.path, row.task) for row in museum.alterations if row.change == "machined"}
    machining = {(row.path, row.task) for row in museum.tasks if "machine" in row.title.lower().split()
                 or "machined" in row.title.lower() or "machine boxes" in row.title.lower()}  # fmt: skip
    assert machining and machining <= told
