"""What stands round what is shown: the same on pages that open from disk and on the live one."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
from collections.abc import Sequence
from html import escape
from typing import Any

from linescope import __version__
from linescope.stage.theme import DARK, LIGHT
from linescope.words import Words


def safe(text: str) -> str:
    """Text for HTML: escaped, and without letters that do not print."""
    return escape("".join(letter if letter.isprintable() or letter in "\n\t" else " " for letter in text))


def zipped(data: bytes) -> str:
    """Gzip in base 64; the same data give the same text."""
    return base64.b64encode(gzip.compress(data, 9, mtime=0)).decode("ascii")


UNZIPPED = """await new Response(new Blob([Uint8Array.from(
atob(document.getElementById("%s").textContent), (letter) => letter.charCodeAt(0)
)]).stream().pipeThrough(new DecompressionStream("gzip"))).text()"""
"""In a script: the text that stands `zipped` in the element of a name."""


def held(key: str, data: bytes) -> str:
    """The element that holds data, zipped, under a name."""
    return f'<script type="application/octet-stream" id="{key}">{zipped(data)}</script>'


def json_text(data: Any) -> str:
    """JSON in as few letters as may be, all of them ASCII."""
    return json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":"))


def roles() -> str:
    """Colours of the pictures as properties of a style sheet; the dark ones for a page that its script has made so."""
    light, dark = (
        "".join(f"--{role.replace('_', '-')}:{colour};" for role, colour in theme.colours.items())
        for theme in (LIGHT, DARK)
    )
    return f':root{{{light}}}:root[data-theme="dark"]{{{dark}}}'


_PROGRAM = "program"
_BEGIN = f"""(async () => {{
const script = document.createElement("script");
script.textContent = {UNZIPPED % _PROGRAM};
document.body.append(script);
}})().catch((error) => {{ document.documentElement.dataset.failed = String(error); throw error; }});"""
"""Unzips the script of a page and puts it in, which the page's policy allows by its hash."""


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def opening(title: str, style: str, script: str, words: Words) -> str:
    """The head of a page in one file, which runs its own style and script and nothing else.

    Parameters
    ----------
    title : str
        Plain text.
    style, script : str
        To the letter: the style as it stands in the page, the script as `running` puts it there.
    words : Words
    """
    policy = (
        f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(_BEGIN)} {_hash(script)}; font-src data:; "
        "img-src data: blob:; base-uri 'none'; form-action 'none'"
    )
    return f"""<!doctype html>
<html lang="{words.tag}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{safe(policy)}">
<meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover">
<meta name="generator" content="linescope {safe(__version__)}">
<title>{safe(title)}</title>
<style>{style}</style>
</head>"""


def running(script: str) -> str:
    """A script, zipped, which would be the largest part of a page, and what runs it; at the end of the body.

    Parameters
    ----------
    script : str
        As `opening` was told.
    """
    return f"{held(_PROGRAM, script.encode())}<script>{_BEGIN}</script>"


def drawer(key: str, inside: str, words: Words) -> str:
    """A drawer with its head and the button that closes it.

    Parameters
    ----------
    key : str
        Of the messages `viewer-<key>`.
    inside : str
        HTML.
    words : Words
    """
    title, close = safe(words.say(f"viewer-{key}")), safe(words.say("viewer-close"))
    return (
        f'<aside id="drawer-{key}" aria-label="{title}"><button type="button" class="close">{close}</button>'
        f"<h2>{title}</h2>{inside}</aside>"
    )


def picture(
    name: str, spoken: str, verdict: str, words: Words, *, drawers: Sequence[str], head: str = "", tools: str = "",
    nav: str = "",
) -> str:
    """The picture and all that lies round it; the script fills it.

    Parameters
    ----------
    name : str
        Of the rig.
    spoken : str
        What the picture is, for who cannot see it.
    verdict : str
    words : Words
    drawers : sequence of str
        Those that can be opened.
    head, tools, nav : str
        HTML that stands under the verdict, over the foot, and behind the buttons of the drawers.
    """
    say = words.say
    lines = "".join(
        f'<span><i class="swatch line" data-role="{role}"></i>{safe(say(message))}</span>'
        for role, message in (("main", "frame-main"), ("backup", "frame-backup"), ("leash", "viewer-leash"))
    )
    buttons = "".join(
        f'<button type="button" data-drawer-of="{key}" aria-expanded="false">{safe(say(f"viewer-{key}"))}</button>'
        for key in drawers
    )
    looks = f'<option value="" hidden>{safe(say("viewer-from"))}</option>' + "".join(
        f'<option value="{key}">{safe(say(f"viewer-from-{key}"))}</option>'
        for key in ("whole", "side", "a", "b", "above")
    )
    return f"""<canvas id="gl" role="img" aria-label="{safe(spoken)}"></canvas>
<div id="haze"></div><canvas id="ink" aria-hidden="true"></canvas>
<div id="pins" role="group" aria-label="{safe(say("viewer-worst"))}"></div>
<div id="lens" aria-hidden="true"><canvas></canvas></div>
<header><h1 id="verdict" aria-live="polite">{safe(verdict)}</h1><p id="sub">{safe(name)}</p>{head}
<p id="caution">{safe(say("frame-plan"))}</p></header>
<p class="alarm" id="needs">{safe(say("page-needs-script"))}</p>
<nav>{buttons}{nav}</nav>
<p id="picked" class="spoken" aria-live="polite"></p>
<div id="views" role="group" aria-label="{safe(say("viewer-views"))}">
<button type="button" id="plain" aria-pressed="false">{safe(say("viewer-plain"))}</button>
<button type="button" id="tall" aria-pressed="false">{safe(say("viewer-tall"))}</button>
<select id="from" aria-label="{safe(say("viewer-from"))}">{looks}</select>
<button type="button" id="dark" aria-pressed="false">{safe(say("viewer-dark"))}</button>
<button type="button" id="home">{safe(say("viewer-whole"))}</button>
<button type="button" id="near">{safe(say("viewer-near"))}</button></div>
<section id="foot" aria-label="{safe(say("viewer-states"))}">{tools}
<div id="keyline"><div id="layers" role="radiogroup" aria-label="{safe(say("viewer-layers"))}"></div>
<div id="legend"></div><div id="lines">{lines}</div></div>
<div id="sliderow"><div id="filmbar"><button type="button" id="play">{safe(say("viewer-say-play"))}</button>
<button type="button" id="speed">{safe(say("viewer-say-half"))}</button></div>
<div id="strip" role="slider" tabindex="0" aria-label="{safe(say("viewer-strip"))}" aria-valuenow="0">
<canvas></canvas></div></div>
<div id="states" aria-label="{safe(say("viewer-states"))}"></div></section>"""
