"""What a page that is shared says besides: how others get it, and the rig to be stood up at its place."""

from __future__ import annotations

from html import escape
from typing import Any
from urllib.parse import quote

from linescope.export.true_size import NAMES
from linescope.words import Words

CUBE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 48" fill="none" stroke="#0b2f4e" stroke-width="3" '
    'stroke-linejoin="round"><path d="M24 5 41 14.5v19L24 43 7 33.5v-19zM7 14.5l17 9.500 17-9.500M24 24v19"/></svg>'
)
"""A cube, the sign for what can be stood up."""


def share_drawer(code: Any, url: str, words: Words) -> str:
    """The inside of a drawer.

    Parameters
    ----------
    code : segno.QRCode
        Of the address.
    url : str
        Of the page, with its key.
    words : Words
    """
    say = words.say
    glb, usdz = NAMES
    picture = code.svg_inline(scale=1, border=4, omitsize=True, dark="#101010", light="#ffffff", svgclass=None)
    # The telephone's viewer opens at once where the link holds a picture and nothing else; it may not be scaled.
    sign = f'<img width="48" height="48" alt="{escape(say("share-stand"))}" src="data:image/svg+xml,{quote(CUBE)}">'
    return (
        f'<p>{escape(say("share-scan"))}</p>'
        f'<div class="code" role="img" aria-label="{escape(say("share-code"))}">{picture}</div>'
        f'<p class="small address">{escape(url)}</p><p>{escape(say("share-only"))}</p>'
        f'<h3>{escape(say("share-stand"))}</h3>'
        f'<p class="stand"><a rel="ar" href="{usdz}#allowsContentScaling=0">{sign}</a>'
        f'<span>{escape(say("share-usdz"))}</span></p>'
        f'<p class="stand"><a href="{glb}" download>{escape(say("share-glb"))}</a></p>'
        f'<p>{escape(say("page-ar-left-out"))}</p>'
    )
