"""The sheet under every page: title, language, a way past the beginning, and how it prints.

In: a title and what stands on the page. Out: one HTML file that needs no other file, no script
and no network.
"""

from __future__ import annotations

import re

from autograde.paper.text import escape

INK, PAPER, LINK = "#1a1a1a", "#ffffff", "#0b4a8f"
STYLE = f"""
body{{font:1.05rem/1.55 "DejaVu Sans",Verdana,sans-serif;max-width:46em;margin:0 auto;
padding:1em;color:{INK};background:{PAPER}}}
a{{color:{LINK}}}
@media (max-width:30em){{th,td{{padding:.15em .3em;font-size:.85em;hyphens:auto}}}}
.skip{{position:absolute;left:-999em}}
.skip:focus{{position:static}}
:focus-visible{{outline:3px solid {LINK};outline-offset:2px}}
h1,h2,h3{{line-height:1.25;break-after:avoid}}
h2{{margin-top:2em;border-bottom:2px solid {INK}}}
img{{max-width:100%;height:auto}}
figure{{margin:1em 0;break-inside:avoid}}
figcaption{{font-size:.92em}}
.moves{{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(20em,100%),1fr));gap:0 1em}}
table{{border-collapse:collapse;margin:1em 0;break-inside:avoid;min-width:min(24em,100%)}}
math{{font-size:1.25em}}
caption{{text-align:left;font-weight:bold;padding:.3em 0}}
th,td{{border:1px solid #767676;padding:.25em .6em;text-align:left;vertical-align:top}}
thead th{{background:#eeeeee}}
blockquote{{margin:1em 0;padding:.1em 1em;border:3px solid {INK};break-inside:avoid}}
pre,code{{font-family:"DejaVu Sans Mono",monospace;font-size:.92em;overflow-wrap:anywhere}}
pre{{white-space:pre-wrap;break-inside:avoid;border-left:3px solid #767676;padding-left:.8em}}
math[display=block]{{margin:.8em 0}}
.field{{border:2px solid {INK};border-radius:.4em;padding:.2em .8em .6em;margin:1em 0;
break-inside:avoid}}
.ticks{{list-style:none;padding-left:0}}
.tick{{margin-right:1em;white-space:nowrap}}
"""
FOR_PRINT = f"""
@page{{size:SIZE;margin:16mm 16mm 18mm;@bottom-left{{content:"TITLE";font:8pt sans-serif}}
@bottom-right{{content:"page " counter(page) " of " counter(pages);font:8pt sans-serif}}}}
body{{font-size:10.5pt;line-height:1.45;max-width:178mm;padding:0}}
h1{{font-size:18pt;margin:.4em 0}}
h2{{font-size:14pt;margin-top:1.4em}}
h3{{font-size:11.5pt;margin:1.1em 0 .3em}}
p,ul,ol{{margin:.5em 0;orphans:3;widows:3}}
table{{font-size:9pt}}
.moves{{grid-template-columns:1fr 1fr}}
.moves figure{{margin:.4em 0}}
.blank{{display:inline-block;width:11em;border-bottom:1.5px solid {INK};height:1.9em}}
.blank.short{{width:4em}}
.working{{height:26mm;font-size:8pt;color:#595959}}
.line{{border-bottom:1px solid #767676;height:9mm}}
.fill-in{{width:100%}}
.fill-in td{{height:8mm}}
.fill-in th:first-child{{width:2em}}
.who .blank{{width:11em}}
.who .short{{width:6em}}
.together,.moves{{break-inside:avoid}}
figure>img{{width:86%}}
.moves img{{width:100%}}
@media print{{a{{color:{INK};text-decoration:none}}.skip{{display:none}}}}
"""


def page(title: str, body: str, before: str = "", size: str = "") -> str:
    """Return a whole page.

    Parameters
    ----------
    before : stands above the main part. size : of the paper, A4 or Letter; "" for a screen.
    """
    style = STYLE + (FOR_PRINT.replace("TITLE", _in_css(title)).replace("SIZE", size) if size else "")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{style}</style>\n</head>\n<body>\n"
        '<header>\n<a class="skip" href="#main">Skip to the text</a>\n'
        f'{before}</header>\n<main id="main" tabindex="-1">\n{body}</main>\n</body>\n</html>\n'
    )


def contents(body: str) -> tuple[str, str]:
    """Return a list of links to the parts of a page, and the page with places to land on."""
    found: list[str] = []

    def land(match: re.Match[str]) -> str:
        found.append(match[1])
        return f'<h2 id="part-{len(found)}">{match[1]}</h2>'

    body = re.sub(r"<h2>(.*?)</h2>", land, body)
    links = "".join(f'<li><a href="#part-{n}">{words}</a></li>'
                    for n, words in enumerate(found, start=1))  # fmt: skip
    return f'<nav aria-label="Parts of this lesson"><ol>{links}</ol></nav>\n', body


def _in_css(text: str) -> str:
    return re.sub(r'["\\\n<>]', " ", text)
