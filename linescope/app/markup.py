"""The live page's one HTML file, and the viewer that it loads; all that is shown comes over the socket."""

from __future__ import annotations

from typing import Any

from linescope.errors import MissingViewerError, SystemPackageError
from linescope.export.page_file import json_for_html
from linescope.export.page_frame import drawer, picture, roles, safe
from linescope.stage.theme import DARK, LIGHT
from linescope.taping import FAMILIES
from linescope.viewer import bundle
from linescope.words import Words

DRAWERS = ("rig", "answers", "tapes", "file")
TOOLS = ("undo", "redo", "measure", "cut")


def files(words: Words) -> dict[str, tuple[str, str]]:
    """What is served: path to type and text.

    Parameters
    ----------
    words : Words

    Raises
    ------
    SystemPackageError
        When the viewer was not built.
    """
    try:
        built = bundle()
    except MissingViewerError as error:
        raise SystemPackageError(words.say("viewer-missing")) from error
    page = ("text/html", _page(words))
    return {
        "/": page, "/index.html": page, "/viewer.js": ("text/javascript", built.script),
        "/viewer.css": ("text/css", roles() + built.style),
    }


def _fixed(words: Words) -> dict[str, Any]:
    """What a picture needs before a whole scene has come."""
    return {
        "colours": {"light": dict(LIGHT.colours), "dark": dict(DARK.colours)},
        "scales": [[length, text] for length, text in words.round_lengths()],
        "styles": [[family, words.named("tapes-family", family)] for family in FAMILIES],
    }


def _page(words: Words) -> str:
    """Head, picture and empty drawers."""
    say = words.say
    tools = "".join(
        f'<button type="button" id="{key}"{" aria-pressed=false" if key in ("measure", "cut") else " disabled"}>'
        f"{safe(say(f'stage-{key}'))}</button>"
        for key in TOOLS
    )
    tools = f'<div id="tools" role="group" aria-label="{safe(say("stage-tools"))}">{tools}</div>'
    variants = f'<button type="button" id="variants" aria-pressed="false">{safe(say("stage-variants"))}</button>'
    around = picture(
        "linescope", say("stage-loading"), say("stage-loading"), words, drawers=DRAWERS, tools=tools, nav=variants,
        head='<p id="stale" hidden></p><p id="wrong" class="alarm" role="alert" hidden></p>',
    )
    drawers = "".join(drawer(key, f'<div id="inside-{key}"></div>', words) for key in DRAWERS)
    say_to_script = {**words.open("viewer-say-"), **words.open("stage-say-")}
    return f"""<!doctype html>
<html lang="{words.tag}" data-live="true">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover">
<meta name="referrer" content="no-referrer">
<title>linescope</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="viewer.css">
</head>
<body>
{around}
<div id="job" role="group" aria-label="{safe(say("stage-job"))}" hidden></div>
<div id="card" role="group" aria-label="{safe(say("stage-card"))}" hidden></div>
<p id="said" role="status" aria-live="polite"></p>
{drawers}
<script type="application/json" id="fixed">{json_for_html(_fixed(words))}</script>
<script type="application/json" id="words">{json_for_html(say_to_script)}</script>
<script src="viewer.js" defer></script>
</body>
</html>
"""
