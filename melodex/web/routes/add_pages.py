"""The page that adds songs: files, bundled collections, and tables of levels, tags and the like."""

from starlette.requests import Request
from starlette.responses import Response

from melodex.errors import MelodexError
from melodex.finder.collection.add_songs import READABLE
from melodex.finder.collection.describe_songs import describe_songs
from melodex.finder.teaching.own_work import text_of_upload
from melodex.finder.teaching.students import text_as_file
from melodex.index.work_table import LONGEST_CONTENT
from melodex.parsing.corpus_walk import bundled_names
from melodex.web.form_fields import NOTHING_SENT, Fields
from melodex.web.guard import MOST_BYTES
from melodex.web.pages import page
from melodex.web.posted_forms import MOST_FILES
from melodex.web.refusals import Refusal, status_of
from melodex.web.routes.job_pages import see
from melodex.web.site import site_of
from melodex.web.uploads import LONGEST_NAME, sorted_out
from melodex.web.work import add

UPLOADED = "my songs"


def add_form(
    request: Request, sent: Fields = NOTHING_SENT, problem: MelodexError | None = None
) -> Response:
    """Show the forms for adding files and for describing songs."""
    values = {
        "suffixes": READABLE,
        "most_megabytes": MOST_BYTES // 1_000_000,
        "most_files": MOST_FILES,
        "longest_name": LONGEST_NAME,
        "collection": sent.as_sent("collection")["collection"] or UPLOADED,
        "bundled": bundled_names(),
        "problem": problem,
    }
    return page(request, "add.html", values, status=status_of(problem) if problem else 200)


def add_files(request: Request, fields: Fields) -> Response:
    """Keep uploaded files and begin to read them."""
    site = site_of(request)
    site.catalogue().close()  # nothing is kept beside a catalogue that has vanished
    sent = sorted_out(site.path, fields.line("collection") or UPLOADED, fields.files("files"))
    paths = sent.paths
    title = f"Adding {paths[0].name}" if len(paths) == 1 else f"Adding {len(paths)} files"
    keywords = {"files": paths, "bundled": (), "refused": sent.refused}
    return see(site.jobs.start(add, "add", title, keywords, prepare=sent.keep))


def add_bundled(request: Request, fields: Fields) -> Response:
    """Begin to read a bundled collection."""
    name = fields.line("bundled")
    if name not in bundled_names():
        raise Refusal(f"There is no bundled collection '{name}'.", "choose one of the list.")
    keywords: dict[str, object] = {"files": (), "bundled": (name,), "refused": ()}
    return see(site_of(request).jobs.start(add, "add", f"Adding {name}", keywords))


def describe(request: Request, fields: Fields) -> Response:
    """Join a CSV of facts to the songs, as the command ``describe`` does."""
    files = fields.files("table")
    if not files:
        raise Refusal("No table was sent.", "choose a CSV file.")
    content = files[0].file.read(LONGEST_CONTENT + 1)
    if len(content) > LONGEST_CONTENT:
        raise Refusal(
            f"The table is larger than {LONGEST_CONTENT:,} bytes.", "send it in several parts."
        )
    name = files[0].filename or "The table"
    with (
        site_of(request).catalogue() as catalogue,
        text_as_file(text_of_upload(content, name), name) as path,
    ):
        report = describe_songs(catalogue, path)
    return page(request, "done/described.html", {"report": report})
