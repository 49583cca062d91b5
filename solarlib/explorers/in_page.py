"""What the browser is told: where controls stand, and what keyboard and screen reader need.

In: nothing. Out: `STYLE` for a hidden widget among the controls, and a small script beside
them. The style puts the controls of an explorer beside its picture, or above it where the page
is narrow, and gives an option as many lines as it needs. The script names the handles of
sliders after their labels: without it, a screen reader says "slider, 5" and no more. And it
keeps the arrows and letters pressed on an option, a list or a button from JupyterLab, which
would take them for its own commands: an arrow leaves the cell, d twice deletes it.
"""

from __future__ import annotations

# Beside each other from 1000 px on; below, the controls come first, in as many columns as fit. The
# picture is never higher than the window leaves room for, so that it and the sliders are seen
# together. Jupyter gives an output area's parts a prompt each; beside the picture it is left out.
STYLE = """<style>
.jp-OutputArea .widget-radio-box label {
  display: flex; align-items: flex-start; height: auto; min-height: 24px; line-height: 1.4;
  box-sizing: border-box; padding: 3px 0; margin: 0; white-space: normal; }
.jp-OutputArea .widget-radio-box input { order: -1; float: none; flex: none; height: 1.4em; }
.jp-OutputArea .widget-radio, .jp-OutputArea .widget-checkbox { height: auto; }
.jp-OutputArea .widget-checkbox .widget-label-basic {
  display: flex; align-items: flex-start; white-space: normal; line-height: 1.4; }

.explorer-controls { display: flex; flex-flow: row wrap; gap: 4px 24px; overflow: visible; }
.explorer-controls > * { flex: 1 1 250px; max-width: 34em; margin: 0; }
.explorer-controls .widget-hbox { align-items: flex-end; overflow: visible; }
.explorer-controls .widget-hslider { flex: 1 1 auto; width: auto; height: auto; flex-wrap: wrap; }
.explorer-controls .widget-hslider .widget-label,
.explorer-controls .widget-radio .widget-label {
  width: 100%; height: auto; margin: 0; text-align: left; white-space: normal; line-height: 1.4; }
.explorer-controls .slider-container { margin-top: 10px; margin-bottom: 14px; }
.explorer-controls .widget-radio { flex-wrap: wrap; width: auto; }
.explorer-controls .widget-radio-box { flex-flow: row wrap; column-gap: 16px; margin: 0; }
.explorer-controls .explorer-buttons { flex-basis: 100%; max-width: none; }
.explorer-panel p { margin: 0 0 8px; line-height: 1.4; }

.jp-Cell-outputWrapper:has(.explorer-panel) { container-type: inline-size; }
.jp-Cell-outputArea:has(.explorer-panel) { display: flex; flex-direction: column; }
.jp-Cell-outputArea:has(.explorer-panel) figure img { max-height: max(56vh, 420px); }
.jp-Cell-outputArea:has(figure) > .jp-OutputArea-child:has(.explorer-panel) { order: -1; }
@container (min-width: 1000px) {
  .jp-Cell-outputArea:has(.explorer-panel):has(figure) {
    display: grid; grid-template-columns: minmax(0, 840px) minmax(270px, 1fr); column-gap: 16px;
    align-items: start; }
  .jp-Cell-outputArea:has(.explorer-panel) figure img { max-height: max(100vh - 120px, 300px); }
  .jp-Cell-outputArea:has(.explorer-panel) > * { grid-column: 1 / -1; }
  .jp-Cell-outputArea:has(.explorer-panel) > :has(figure) { grid-area: 1 / 1; }
  .jp-Cell-outputArea:has(figure) > :has(.explorer-panel) { grid-area: 1 / 2; }
  .jp-Cell-outputArea:has(figure) > :has(.explorer-panel) > .jp-OutputArea-prompt { display: none; }
}
</style>"""

# The handles come a moment after the panel, hence the observer. The keys are caught on their way
# down, before JupyterLab sees them; what the browser itself does with them is not changed.
_SCRIPT = """{
const place = element.closest('.jp-OutputArea') ?? document.body;
const name = () => place.querySelectorAll('.widget-slider').forEach(slider =>
  slider.querySelectorAll('.noUi-handle:not([aria-label])').forEach(handle =>
    handle.setAttribute('aria-label', slider.querySelector('label')?.textContent || 'slider')));
new MutationObserver(name).observe(place, {childList: true, subtree: true});
name();
if (!window.keysOfTheCourse) {
  const listed = '.jp-OutputArea input[type=radio], .jp-OutputArea select';
  const pressed = '.jp-OutputArea input[type=checkbox], .jp-OutputArea button';
  window.keysOfTheCourse = event => {
    const own = event.key.length === 1 || event.key.startsWith('Arrow');
    const plain = !(event.ctrlKey || event.metaKey || event.altKey || event.shiftKey);
    const here = event.target.matches?.(`${listed}, ${pressed}`);
    if (own && plain && here) event.stopPropagation();
  };
  window.addEventListener('keydown', window.keysOfTheCourse, true);
}
}"""


def help_keys_and_names() -> None:
    """Show the script beside controls that have just been displayed."""
    from IPython.display import display

    display({"application/javascript": _SCRIPT, "text/plain": ""}, raw=True)
