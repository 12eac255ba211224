"""The interactive page inside a notebook: whole in the cell's output, so that it stays in the saved notebook.

Nothing is served and nothing is asked of a kernel: the output holds the file that `page.html` is, zipped, in a frame of
its own.  It is as alive in a notebook that was saved, sent or turned into HTML, without network, as where it was made.
A widget that a kernel keeps in step would need the front end's own scripts for that, which saved notebooks load from
the network.
"""

from __future__ import annotations

from html import escape

from linescope.export.briefing import study_for_page
from linescope.export.page_file import page_text
from linescope.export.page_frame import UNZIPPED, held
from linescope.notebook.page import still
from linescope.rig import Rig, RigSource
from linescope.stage.ground import site
from linescope.statics import Solution
from linescope.study import Study
from linescope.units import System
from linescope.words import Words

_OPEN = f"""(async () => {{
const text = {UNZIPPED % "page"};
document.open(); document.write(text); document.close();
}})();"""


class CellPage:
    """A rig to be turned, walked on and asked, as the last value of a cell.

    Attributes
    ----------
    page : str
        The HTML file that the cell shows.
    height : int
        Of the frame.  [px]
    """

    def __init__(self, page: str, still: str, words: Words, *, height: int, name: str) -> None:
        self.page, self.height, self.name = page, height, name
        self._still, self._words = still, words

    def __repr__(self) -> str:
        return f"CellPage({self.name!r}, {len(self._frame()) / 1e6:.2g} MB)"

    def _frame(self) -> str:
        body = f"{held('page', self.page.encode())}<script>{_OPEN}</script>"
        return f'<!doctype html><html><head><meta charset="utf-8"></head><body>\n{body}</body></html>'

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        """The page for notebooks and HTML made of them; the still picture for what shows no frames."""
        return {"text/html": self._repr_html_(), "image/png": self._still, "text/plain": repr(self)}

    def _repr_html_(self) -> str:
        title = escape(self._words.say("notebook-view", name=self._words.verbatim(self.name)))
        return (
            f'<iframe title="{title}" sandbox="allow-scripts" style="width:100%;height:{self.height}px;border:0" '
            f'srcdoc="{escape(self._frame())}"></iframe>'
        )


def view(result: object, *, height: int = 760, units: System = "metric") -> CellPage:
    """A rig as the page that a brief writes, for the output of a cell.

    Parameters
    ----------
    result : Scene, Study, Solution or Rig
        Of a study everything is shown that it does not leave out; of all others what the page of a brief shows.
    height : int
        Of the frame.  [px]
    units : {"metric", "feet"}

    Raises
    ------
    InputError, SolveError
    """
    words = Words(system=units)
    source = result.rig if isinstance(result, Solution) else result
    if isinstance(source, Study):
        study = source
    elif isinstance(source, (Rig, RigSource)):
        study = study_for_page(source)
    else:
        raise TypeError(f"nothing to view of {type(result).__name__}")
    ground = site(study.ground, study.rig) if study.ground else None
    page = page_text(study, ground=ground, units=units)
    return CellPage(page, still(study.taped), words, height=int(height), name=study.rig.name)
