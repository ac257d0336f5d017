"""The notebooks run from their first cell to their last, and show what they print."""

import re
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

NOTEBOOKS = sorted((Path(__file__).parents[2] / "notebooks").glob("*.ipynb"))
LARGEST_NOTEBOOK = 200_000  # characters; a picture of some 30,000 is large enough
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
    assert printed


def test_the_outputs_of_a_notebook_are_kept_from_one_run_in_order(notebook):
    counts = [cell.execution_count for cell in notebook.cells if cell.cell_type == "code"]
    assert counts == list(range(1, len(counts) + 1))


def test_a_notebook_is_small(notebook):
    assert len(nbformat.writes(notebook)) < LARGEST_NOTEBOOK


def test_a_notebook_uses_the_public_api_alone(notebook):
    code = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "code")
    assert not re.findall(r"(?:from|import) melodex\.\S+", code)
