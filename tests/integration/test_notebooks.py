"""The worked studies in notebooks/ run from their first cell to their last."""

from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

NOTEBOOKS = sorted((Path(__file__).parents[2] / "notebooks").glob("*.ipynb"))
LONGEST_CELL = 300  # seconds; a busy machine must not turn a test false


@pytest.fixture(params=NOTEBOOKS, ids=lambda path: path.stem)
def notebook(request):
    """A notebook as it is kept."""
    return nbformat.read(request.param, nbformat.NO_CONVERT)


def test_a_notebook_runs_without_an_error(notebook):
    client = NotebookClient(
        notebook,
        timeout=LONGEST_CELL,
        kernel_name="python3",
        resources={"metadata": {"path": NOTEBOOKS[0].parent}},
    )
    client.execute()
    printed = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    assert len(printed) > len(notebook.cells) / 3


def test_a_notebook_is_kept_without_what_it_printed(notebook):
    assert not any(cell.get("outputs") for cell in notebook.cells)
    assert not any(cell.get("execution_count") for cell in notebook.cells)
